"""Lesson 10, stand and teach: its exercises as data.  solarlab computes the answers."""

from __future__ import annotations

from solarlab import fuel
from solarlab.exercises import Alternative, Exercise, beside, letter_of, lettered

benches = beside(__file__, "benches")
stage = beside(__file__, "stage")
code_track = beside(__file__, "code_track")
demo, scene = stage.demo, stage.scene
WATCHING = "Crouch, Fagen, Callan & Mazur 2004, Classroom demonstrations (from memory)"
KNOWING = "Rozenblit & Keil 2002, The illusion of explanatory depth (from memory)"
NAMES = (
    "Adaku", "Bimala", "Chepkirui", "Damaris", "Esperanza", "Farida", "Gulalai", "Hanna", "Imelda", "Jamila",
)  # fmt: skip


# --- 1 strike: one line of the sheet is wrong ---


WRONG = (
    "Slow day? If it is piping hot in the end it may be served, however long it took.",
    "Not done when they leave? Lid on, leave it in the oven overnight, finish it in the morning.",
    "Cloud? Then the two hours begin again when the sun comes back.",
    "Lukewarm for over four hours? Ten minutes of hard boiling on the stove put it right.",
)


def strike_variant(draw):
    case, meal = draw.pick(stage.CASES), draw.pick(stage.MEALS)
    start = stage.latest(case, stage.needed({"people": 20, "taste": 30}), meal)
    people, alarm = meal - draw.pick((30, 45)), stage.plan_b(case, start)
    away = {"north": "south", "south": "north"}[case.side]
    lines = {
        "wrong": draw.pick(WRONG),
        "early": f"{scene.clock(start)}: the pot goes in. (People come at {scene.clock(people)}.)",
        "noon": f"{scene.clock(case.noon)}, not 12:00: shortest shadow. Show it with a stick.",
        "alarm": f"{scene.clock(alarm)}: middle not past 60 °C? Onto the stove at once. "
        f"({case.stood:g} minutes on the cutting board, and the stove wants {stage.STOVE}.)",
        "side": f"Shortest shadow: the glass looks {case.side}, the people stand {away} of the oven.",
    }
    return {
        "place": case.place,
        "day": scene.on_the_day(case.date),
        "dish": case.dish,
        "eat": scene.clock(meal),
    } | lettered(draw.shuffle(lines), lines)


STRIKE = Exercise(
    id="teach/strike",
    kind="choice",
    title="One line must go",
    variable="strike_line",
    points=2.0,
    question=(
        "A colleague (invented) has written a day sheet by hand: {place}, {day}, {dish}, to be eaten at "
        "{eat}. Four lines are right, though some look odd. One would make people ill. Which line do you "
        "strike out?"
    ),
    choices={letter: f"{{{letter}}}" for letter in "abcde"},
    variant=strike_variant,
    answer=letter_of("wrong"),
    alternatives=(
        Alternative(
            "loaded-when-they-arrive",
            letter_of("early"),
            "So early, and nobody there to see it? Count backwards from the meal, then say what was wrong "
            "with it.",
            "A show begins when the audience is there; a stove needs no more warning than that.",
        ),
        Alternative(
            "clock-for-solar-noon",
            letter_of("noon"),
            "Must the shadow be shortest at twelve? Three things push the sun's noon off (lesson 05). Look "
            "for the line at which somebody falls ill.",
            "'Noon' is the name of both, and at school they were the same.",
        ),
        Alternative(
            "clock-starts-at-the-oven",
            letter_of("alarm"),
            "It looks hasty. But since when does its clock run? Add the cutting board to the oven.",
            "Cooking time is counted from the oven, so safety time seems to be, too.",
        ),
        Alternative(
            "south-for-north",
            letter_of("side"),
            "Where is the noon sun at that place, on that day? A rule learnt elsewhere may not hold there. "
            "(And nobody falls ill of a shadow.)",
            "Schoolbooks are written where the noon sun is always in the south (or always in the north).",
        ),
    ),
    hints=(
        "Read each line as the food: since when am I lukewarm, and what do they do with me?",
        "Which line lets heat, cloud or a night turn a clock back?",
    ),
)


# --- 2 learned: how many did you teach? ---


def learned_variant(draw):
    people = int(draw.step(18, 40, 1))
    before = round(people * draw.uniform(0.15, 0.4))
    after = before + round((people - before) * draw.uniform(0.25, 0.75))
    return {
        "people": people,
        "before": before,
        "after": after,
        "nodded": people - int(draw.step(2, 4, 1)),
    }


LEARNED = Exercise(
    id="teach/learned",
    kind="number",
    title="How many did you teach?",
    variable="learned_percent",
    points=2.0,
    unit="%",
    question=(
        "**{people} people**. Before the oven is opened for the first time you ask each of them to plan a "
        "pot for a cloudy morning: **{before}** do it well. At the end you ask again, with another dish and "
        "another meal: **{after}** do it well, the first {before} among them. When you asked whether it was "
        "all clear, **{nodded}** nodded. Of the people whom you *could* teach something, what percent did "
        "you teach it?"
    ),
    variant=learned_variant,
    answer=lambda v: 100.0 * (v["after"] - v["before"]) / (v["people"] - v["before"]),
    tolerance=(0.0, 1.0),
    alternatives=(
        Alternative(
            "nodding-is-learning",
            lambda v: 100.0 * v["nodded"] / v["people"],
            "That is the percent of polite people. Which of the four numbers counts what somebody could "
            "*do*?",
            "A friendly face is the only answer one gets while one talks.",
            source=KNOWING,
        ),
        Alternative(
            "knew-it-before",
            lambda v: 100.0 * v["after"] / v["people"],
            "So many can do it *now*. How many of them needed you for it?",
            "Tests come at the end; who could do it already is not asked.",
            source="Hake 1998, interactive engagement and gain (from memory)",
            credit=0.25,
        ),
        Alternative(
            "counted-over-everybody",
            lambda v: 100.0 * (v["after"] - v["before"]) / v["people"],
            "Those you taught, over everybody. But some had nothing to learn from you: over whom should you "
            "count?",
            "A percent seems to be of all who were there.",
            credit=0.5,
        ),
        Alternative(
            "showing-is-teaching",
            lambda v: 100.0,
            "All of them saw it, yes. How many could do a thing afterwards that they could not do before?",
            "What was shown clearly seems to be learnt.",
            source=WATCHING,
        ),
    ),
    hints=(
        "Who could not do it before? How many of *them* can now?",
        "Those who came to it, divided by those who could have come to it; times 100.",
    ),
)


# --- 3 fuel: what a month saved ---


def fuel_variant(draw):
    name = draw.pick(scene.FUEL_DISHES)
    sunny = int(draw.step(14, 24, 1))
    return {
        "name": draw.pick(NAMES),
        "dish": name,
        "heat": round(scene.heat(name).middle, 2),
        "wood": fuel.WOOD_HEAT,
        "percent": draw.pick((12, 14, 16, 18)),
        "sunny": sunny,
        "replaced": round(sunny * draw.pick((0.4, 0.5, 0.6, 0.7))),
        "daily": draw.step(4.0, 7.0, 0.5),
    }


def month(v, *, cooks=None, share=None):
    share = v["percent"] / 100.0 if share is None else share
    return float(fuel.fuel_needed(v["heat"] * (v["replaced"] if cooks is None else cooks), share, v["wood"]))


FUEL = Exercise(
    id="teach/fuel",
    kind="number",
    title="A month at the follow-up visit",
    variable="wood_saved",
    points=2.0,
    unit="kg",
    question=(
        "Your visit after a month, at the invented house of {name}. They have used the oven on **{sunny} "
        "sunny days**, each time for one pot of {dish}. Asked day by day, **{replaced}** of these pots "
        "stood in for a pot on the fire; the others were cooked *besides*. A pot wants **{heat} MJ** of "
        "heat. Their fire brings **{percent} %** of the wood's heat into a pot, and dry wood holds {wood} "
        "MJ a kilogram. On the whole they burn {daily:g} kg a day. How many kilograms of wood did the oven "
        "save in that month? (One figure after the point.)"
    ),
    variant=fuel_variant,
    answer=month,
    tolerance=(0.03, 0.1),  # kg: one figure after the point
    alternatives=(
        Alternative(
            "food-s-heat-for-fuel",
            lambda v: month(v, share=1.0),
            "That is the wood whose heat is *in the food*. Where does the rest of a fire's heat go, and "
            "who pays for it?",
            "Energy is energy, and the food's is the one that can be worked out.",
            credit=0.5,
        ),
        Alternative(
            "habits-change-at-once",
            lambda v: month(v, cooks=v["sunny"]),
            "You counted every pot the oven cooked. Which of them took a pot *off the fire*?",
            "A new stove is thought of as instead of the old one; in most kitchens it stands beside it.",
            source="Ruiz-Mercado & Masera 2015, stacking of stoves and fuels (from memory)",
            credit=0.5,
        ),
        Alternative(
            "every-sunny-day-all-fuel",
            lambda v: v["sunny"] * v["daily"],
            "So no fire at all on a sunny day? What about breakfast, tea, and supper after dark?",
            "A day with sun is thought of as a solar day.",
        ),
        Alternative(
            "efficiency-multiplied",
            lambda v: month(v) * (v["percent"] / 100.0) ** 2,
            "With a poor fire, does one need more wood or less? Yours comes out less.",
            "Percent means times.",
            credit=0.25,
        ),
    ),
    hints=(
        "How many pots were *taken off the fire*? And how much wood does one such pot need?",
        "Heat for a pot, divided by the part of the fire's heat that gets into it, divided by the heat in "
        "a kilogram.",
    ),
)


# --- 4 alone: who can do it tomorrow? ---


def alone_variant(draw):
    guess = int(draw.step(720, 780, 10))
    people = draw.shuffle(NAMES)[:5]
    shown = ("thinks", "nods", "yes", "copies", "lucky")
    words = {
        "thinks": f"{{name}} bet that the pot would be done by {scene.clock(guess)}. It was not, by far. "
        "“I forgot the cloud. For tomorrow I'd put it in half an hour sooner, take half as much, and chalk "
        "up the hour of plan B before it goes in.”",
        "nods": "{name} sat in front, smiled, and nodded at every sentence for two hours. At the end: the "
        "clearest talk of the year.",
        "yes": "{name} was asked: “The middle must be past 60 °C before two hours are over, mustn't it?” "
        "“Yes”, said {name}, at once.",
        "copies": "{name} aimed, loaded and measured without one mistake, while you stood by and said what "
        "came next.",
        "lucky": f"{{name}} bet on {scene.clock(guess + 30)} and was right to the minute. “I just felt it. "
        "My bread always comes out, too. One has it or one has not.”",
    }
    order = draw.shuffle(shown)
    lines = {kind: words[kind].format(name=name) for kind, name in zip(order, people, strict=True)}
    return lettered(order, lines)


ALONE = Exercise(
    id="teach/alone",
    kind="choice",
    title="Who can do it tomorrow?",
    variable="alone",
    points=2.0,
    question=(
        "Five people (invented) at the end of your demonstration. One oven can stay here. From what you "
        "have seen, who is most likely to cook with it safely tomorrow, without you?"
    ),
    choices={letter: f"{{{letter}}}" for letter in "abcde"},
    variant=alone_variant,
    answer=letter_of("thinks"),
    alternatives=(
        Alternative(
            "nodding-is-learning",
            letter_of("nods"),
            "What would somebody have done who was polite and had understood nothing?",
            "A friendly face is the only answer one gets while one talks.",
            source=KNOWING,
        ),
        Alternative(
            "leading-question-as-a-test",
            letter_of("yes"),
            "The answer stood in the question. What could you ask so that only somebody who knows can "
            "answer?",
            "It has the form of a test, and the answer was right.",
        ),
        Alternative(
            "showing-is-teaching",
            letter_of("copies"),
            "Good hands. Whose head was it? What happens on a day that is not like today?",
            "What was done without a mistake looks learnt.",
            source=WATCHING,
        ),
        Alternative(
            "a-right-guess-shows-it",
            letter_of("lucky"),
            "Right today. On what would the next bet rest?",
            "Tests are marked by right and wrong.",
        ),
    ),
    hints=(
        "Tomorrow is another day: other clouds, another dish. Whose words reach that far?",
        "Who says what they would do otherwise, and why, and when they would stop hoping?",
    ),
)

LESSON = (STRIKE, LEARNED, FUEL, ALONE, *stage.EXERCISES, *code_track.EXERCISES)
