"""Lesson 00, the first egg: its exercises as data.  solarlab computes the answers when they are asked for."""

from __future__ import annotations

from solarlab import record
from solarlab.exercises import Alternative, Exercise, beside, letter_of, lettered

scene = beside(__file__, "scene")
benches = beside(__file__, "benches")

EGG, BEANS = "an egg, dry on the tray", "black beans, soaked overnight"
OVENS = ("one-mirror box", "bare box", "cardboard box")  # in the quicker ones the pot boils as the egg sets
NOON_LESS_ONE = 11 * 60  # minutes after midnight, when everything goes in


# --- 1 say: what a set egg proves ---

SAYINGS = {
    "right": "This egg's middle got to some 65 °C (150 °F), or above. Of the {dish} it says nothing.",
    "dish": "So the {dish} that went in with it, in the twin oven, are cooked as well.",
    "safe": "An egg that is set is safe. {who} may have it now, without any thermometer.",
    "oven": "So now we know how hot this oven is: about 70 °C (160 °F), no more.",
}
DISHES = ("beans", "potatoes", "lentils", "meat balls")
EATERS = ("The baby", "Grandmother", "A pregnant visitor", "The sick child")


def say_variant(draw):
    order = draw.shuffle(SAYINGS)
    words = {"dish": draw.pick(DISHES), "who": draw.pick(EATERS)}
    return words | lettered(order, {name: text.format(**words) for name, text in SAYINGS.items()})


SAY = Exercise(
    id="first-egg/say",
    kind="choice",
    title="What may you say?",
    variable="say",
    points=1.0,
    question="The egg is cut. It is hard all through, and everybody looks at you. Which sentence is true?",
    choices={letter: f"{{{letter}}}" for letter in "abcd"},
    variant=say_variant,
    answer=letter_of("right"),
    alternatives=(
        Alternative(
            "set-egg-proves-beans",
            letter_of("dish"),
            "Look at the table again: in the minute in which the egg was hard, how far was the rest?",
            "The egg was as hot as the pot, so both should be cooked: one heat, one state.",
        ),
        Alternative(
            "set-means-safe",
            letter_of("safe"),
            "Setting is something you see. Safety is something you measure. With what, and where?",
            "Firm food looks cooked, and cooked food has always been safe enough.",
        ),
        Alternative(
            "egg-shows-the-oven",
            letter_of("oven"),
            "An egg sets in a hot oven and in a very hot one. Look at the picture: where was the oven's own "
            "curve when the egg was hard?",
            "One number is in the air, and it sticks to the nearest thing.",
        ),
    ),
    hints=(
        "Which sentence claims no more than the egg has shown?",
        "The egg knows about the middle of this egg. About what else could it know?",
    ),
)


# --- 2 wait: how long after the egg come the beans? ---


def wait_variant(draw):
    place, date = draw.pick(scene.CLEAR_DAYS)
    oven = draw.pick(OVENS)
    hard = scene.minutes_to(EGG, place, date, oven)[0]
    done, boil = scene.minutes_to(BEANS, place, date, oven)
    v = {"place": place, "day": scene.on_the_day(date)}
    minutes = {"hard": hard, "boil": boil, "done": done}
    return v | {name: NOON_LESS_ONE + round(m) for name, m in minutes.items()} | {
        f"{name}_clock": scene.clock(NOON_LESS_ONE + m) for name, m in minutes.items()
    }  # fmt: skip


def as_decimal(minutes) -> int:
    """``"12:58"`` read as the number 1258."""
    return int(scene.clock(minutes).replace(":", ""))


WAIT = Exercise(
    id="first-egg/wait",
    kind="number",
    title="How long do the visitors wait?",
    variable="beans_wait",
    points=2.0,
    unit="min",
    question=(
        "{place}, a clear {day}. At 11:00 an egg goes into one oven and a pot of soaked beans into its twin. "
        "At **{hard_clock}** the egg is hard, and is cut open at once before the visitors. At "
        "**{boil_clock}** the bean pot boils. At **{done_clock}** the beans are soft. How long do the "
        "visitors wait *from the cut* until the beans are soft?"
    ),
    variant=wait_variant,
    answer=lambda v: v["done"] - v["hard"],
    tolerance=(0.0, 2.0),
    alternatives=(
        Alternative(
            "set-egg-proves-beans",
            lambda v: 0.0,
            "You let the egg speak for the beans. An egg sets by 75 °C (165 °F), in minutes. Look at the "
            "clock beside the beans: do they agree?",
            "The egg was as hot as the pot, so both should be cooked: one heat, one state.",
        ),
        Alternative(
            "counts-from-loading",
            lambda v: v["done"] - NOON_LESS_ONE,
            "That is how long the beans were in the oven. The visitors' wait begins later. When?",
            "Every recipe counts from the moment the food goes in.",
            credit=0.5,
        ),
        Alternative(
            "boil-means-done",
            lambda v: v["boil"] - v["hard"],
            "You stopped at the boil. There the beans' own time only begins: what does the last clock say?",
            "For tea and for pasta water, boiling is the end of the wait.",
            credit=0.25,
        ),
        Alternative(
            "clock-as-decimal",
            lambda v: as_decimal(v["done"]) - as_decimal(v["hard"]),
            "You took the clock for an ordinary number, as if an hour had a hundred minutes. Go from the "
            "first clock to the next full hour, then on.",
            "On a display 12:58 and 11:19 look like numbers to be subtracted.",
            credit=0.5,
        ),
    ),
    hints=(
        "Two of the clocks are enough. Which two?",
        "From the egg's clock to the beans' clock, in minutes. You may also type it in quotes, like "
        '"1 h 20 min".',
    ),
)


# --- 3 sure: what being sure means ---

PEOPLE = ("Awa", "Tomo", "Lupe", "Nils", "Zuri", "Ravi")  # invented


def sure_variant(draw):
    word = draw.pick(tuple(record.SURENESS))
    return {
        "word": word,
        "chance": round(100 * record.SURENESS[word]),
        "count": int(draw.step(20, 80, 20)),
        "who": draw.pick(PEOPLE),
    }


def wrong_of(v):
    """How many of the predictions come out wrong for somebody who knows how sure to be."""
    return v["count"] * (1.0 - record.SURENESS[v["word"]])


SURE = Exercise(
    id="first-egg/sure",
    kind="number",
    title="How sure is sure?",
    variable="sure_wrong",
    points=1.0,
    question=(
        "{who} has written down **{count}** predictions in this course, all of them “{word}”. In this course "
        "“{word}” stands for being right {chance} times in a hundred. {who} knows perfectly well how sure to "
        "be. About how many of the {count} came out **wrong**?"
    ),
    variant=sure_variant,
    answer=wrong_of,
    tolerance=(0.0, 1.4),  # "one in three" for 35 in a hundred is near enough
    alternatives=(
        Alternative(
            "sure-means-never-wrong",
            lambda v: 0.0,
            "None at all? Then the word should have been “certain”. How often in a hundred does this word "
            "allow a miss?",
            "Being wrong after saying one was sure feels like a failure, so it should not happen.",
        ),
        Alternative(
            "right-for-wrong",
            lambda v: v["count"] - wrong_of(v),
            "That many came out *right*. The question asks for the others.",
            "The number in the text is about being right, and it is the one that gets used.",
            credit=0.5,
        ),
        Alternative(
            "right-or-wrong-so-half",
            lambda v: v["count"] / 2.0,
            "Right or wrong are two ways to come out, but not two *equal* ways. How often does this word say "
            "right?",
            "Two outcomes are taken as equally likely, whatever is known.",
            source="Lecoutre 1992 on the equiprobability bias, Educ. Stud. in Mathematics (from memory)",
        ),
    ),
    hints=(
        "If so many in a hundred come out right, how many in a hundred come out wrong?",
        "Of a hundred so many, so of twenty a fifth of that. How many twenties are there in your count?",
    ),
)


# --- 4 tell: for a person to read ---

TELL = Exercise(
    id="first-egg/tell",
    kind="explanation",
    title="Tell the one who has gone home",
    variable="tell",
    points=2.0,
    question="Somebody had to leave before the egg was cut. Tell them in three or four sentences.",
    rubric=(
        (1.0, "Own prediction, how sure, and what came out, in words or numbers; says whether it held."),
        (
            1.0,
            "One thing that a set egg does not prove, with a reason or a number: beans need far longer; safe "
            "is a thermometer's reading in the middle.",
        ),
    ),
)


LESSON = (SAY, WAIT, SURE, TELL)
