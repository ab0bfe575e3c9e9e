"""Day sheets: every number on paper is the model's, nothing says "safe", and bad input is one sentence."""

from __future__ import annotations

import re
from dataclasses import replace
from html.parser import HTMLParser

import numpy as np
import pytest

from solarlab import food, oven, place, portion, pot, safety, sky
from solarlab._aim import aim
from solarlab.catalogue import Handling, place_at
from solarlab.plan import Dish, Job, Plan, clock, minutes_of, plan
from solarlab.plan.chance import Outlook, Spread
from solarlab.plan.site import skyline
from solarlab.sheet import day_sheet, html
from solarlab.sheet.advice import faulty, typical
from solarlab.sheet.day_html import ASIDE, EDGE, arranged
from solarlab.sheet.files import write
from solarlab.sheet.paper import lines, narrowest
from solarlab.sheet.parts import compass
from solarlab.sun import instants

BOX, STEEL = oven("four-mirror box"), pot("dark enamelled steel")
ADDIS = Outlook(
    place("Addis Ababa"), "2026-03-10", oktas=1, air=(12, 24), line=skyline("80:10, 110:25, 140:10")
)
FEW = {"searched": 20, "counted": 60}


@pytest.fixture(scope="module")
def made():
    return plan(
        ADDIS, [BOX], [Dish(food("lentils"), STEEL), Dish(food("eggs in water"), STEEL)], eat="13:00", **FEW
    )


@pytest.fixture(scope="module")
def sheet(made):
    return day_sheet(made, group=30)


@pytest.fixture(scope="module")
def usual(made):
    return typical(made)


class Page(HTMLParser):
    """Counts tags and refuses what is not closed."""

    def __init__(self, text):
        super().__init__()
        self.open, self.seen = [], []
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        self.seen.append((tag, dict(attrs)))
        if tag not in ("meta", "path", "circle", "rect", "ellipse", "line", "br", "img"):
            self.open.append(tag)

    def handle_startendtag(self, tag, attrs):
        self.seen.append((tag, dict(attrs)))

    def handle_endtag(self, tag):
        assert self.open.pop() == tag


def test_aim_table_is_the_sun_and_the_limits_of_the_stand(sheet):
    times = [row[0] for row in sheet.aims.rows]
    day = instants(ADDIS.place, ADDIS.date, times[0], times[-1], 1800)
    above = sky(ADDIS.place, day)
    for row, azimuth, height in zip(sheet.aims.rows, above.azimuth, above.elevation, strict=True):
        assert row[1].startswith(f"{azimuth:03.0f}°")
        assert row[1].endswith(compass(azimuth))
        tilt = int(row[3].split("°")[0])
        assert tilt == pytest.approx(np.clip(90 - height, BOX.tilt_min, BOX.tilt_max), abs=0.51)
        assert ("*" in row[3]) == (90 - height < BOX.tilt_min - 0.5)


def test_stick_shadow_points_away_from_the_sun_and_hides_behind_trees(sheet):
    clear = day_sheet(replace_line(sheet.plan, ""))
    for row, hidden in zip(clear.aims.rows, sheet.aims.rows, strict=True):
        length, way = row[-1].split(" m ")
        height = int(row[2].rstrip("°"))
        assert float(length) == pytest.approx(1 / np.tan(np.radians(height)), rel=0.06)
        assert compass(float(row[1][:3]) + 180.0) == way
        line = ADDIS.line.height_at(float(row[1][:3]))
        if abs(height - line) > 1.0:
            assert ("skyline" in hidden[-1]) == (height < line)


def replace_line(made, text):
    return replace(made, outlook=replace(made.outlook, line=skyline(text)))


def test_needle_is_off_by_the_declination_given(made):
    rows = day_sheet(made, declination=4.0).aims.rows
    assert all((int(row[1][:3]) - int(row[2][:3])) % 360 in (3, 4, 5) for row in rows)
    with pytest.raises(ValueError, match="between -90 and 90"):
        day_sheet(made, declination=400.0)


def test_every_dish_has_a_range_a_target_and_a_blank(sheet):
    assert len(sheet.dishes.rows) == 2
    for row, job in zip(sheet.dishes.rows, sheet.plan.jobs, strict=True):
        target = safety.rule(job.dish.food.safety[0]).temperature
        assert f"{target:.0f} °C" in row[6]
        assert f"{safety.fahrenheit(target):.0f} °F" in row[6]
        assert row[5] == f"{np.clip(round(100 * job.chance), 1, 99)} of 100 days"
        assert row[7].count("____") == 2
        low, high = re.findall(r"(\d\d:\d\d)–(\d\d:\d\d)", row[4])[0]
        assert minutes_of(low) == int(job.ready.low)
        assert minutes_of(high) == int(job.ready.high)


def test_steps_follow_the_plan(sheet):
    for job in sheet.plan.jobs:
        kinds = [m.kind for m in sheet.moments if m.food == job.dish.food]
        assert kinds == ["in", "measure"]
    minutes = [m.minutes for m in sheet.moments]
    assert minutes == sorted(minutes)
    assert sheet.moments[0].minutes == sheet.plan.start
    assert sheet.moments[-1].kind == "eat"


@pytest.mark.parametrize("every", [None, 45.0, 60.0, 120.0])
def test_hands_aim_when_the_model_does(made, every):
    """The model's own aims, read off its `aim`, against the sheet's words and the job's count."""
    job = replace(made.jobs[0], reaim_every=every)
    lone = replace(made, jobs=(job,))
    times = instants(ADDIS.place, ADDIS.date, clock(job.put_out), clock(job.out), 60.0)
    handling = Handling(clock(job.loaded), every, preheat=float(made.preheat))
    stood = aim(job.oven, sky(ADDIS.place, times), handling).instant
    model = [int((when - stood[0]) / np.timedelta64(1, "m")) + job.put_out for when in np.unique(stood)]
    assert list(job.aims) == model
    told = [m.minutes for m in day_sheet(lone).moments if m.kind in ("out", "aim")]
    assert told == model


@pytest.mark.parametrize("latitude", [-38.0, -0.2, 52.5, 69.6])
def test_sun_is_told_as_high_at_noon_as_where_one_aims(latitude):
    """The two stand on one sheet: a low sun is lifted by the air (by 4' at 14°, Bennett 1982) in both."""
    here = place_at(latitude, 0.0, 10.0, "Africa/Accra", "x")
    outlook = Outlook(here, "2026-03-05", oktas=0)
    job = Job(Dish(food("egg")), BOX, 630, 660, 780, None, 0.9, ready=Spread(700.0, 710.0, 730.0, 0.0),
              reached=Spread(670.0, 680.0, 690.0, 0.0))  # fmt: skip
    made = day_sheet(Plan(outlook, (job,), 780, 30, 0.8, 0.9, 100))
    highest = int(dict(made.facts)["sun highest"].split(", ")[1].removesuffix("°"))
    seen = max(int(row[2].removesuffix("°")) for row in made.aims.rows)  # by the half hour, not at noon
    assert highest in (seen, seen + 1)


def test_what_waits_is_wrapped_and_has_its_hour(made):
    first = min(made.jobs, key=lambda job: job.out)
    early = replace(first, out=made.eat - 60)
    rows = dict(day_sheet(replace(made, jobs=(early,))).steps.rows)
    # cooked food: eaten within two hours, the rule of the cooling clock
    assert f"Wrap it up hot; eat by {clock(made.eat + 60)}." in rows[clock(early.out)]
    at_once = replace(made, jobs=(replace(first, out=made.eat),))
    assert not any("Wrap" in row[1] for row in day_sheet(at_once).steps.rows)


def test_dishes_taken_out_together_are_one_sentence(made):
    together = replace(made, jobs=tuple(replace(job, out=made.eat) for job in made.jobs))
    last = day_sheet(together).steps.rows[-1][1]
    assert last.count("Measure where it is coldest") == 1
    assert all(job.dish.food.name in last for job in made.jobs)


def test_only_what_is_boiled_has_a_recipe_from_the_stove():
    outlook = Outlook(place("Nairobi"), "2026-03-10", oktas=0)
    pots = {"flat bread": None, "potatoes": None, "rice": STEEL, "potatoes in water": STEEL}
    jobs = [Job(Dish(food(name), vessel), BOX, 600, 630, 780, None, 0.9,
                ready=Spread(700.0, 710.0, 730.0, 0.0), reached=Spread(670.0, 680.0, 690.0, 0.0))
            for name, vessel in pots.items()]  # fmt: skip
    told = day_sheet(Plan(outlook, tuple(jobs), 780, 30, 0.8, 0.9, 100))
    assert [row[0] for row in told.recipes.rows] == ["Rice"]
    amounts = [row[1].split(";")[0] for row in told.dishes.rows]
    assert amounts == ["4 × 80 g", "8 × 125 g", "0.40 kg + 0.60 L water", "32 × 31 g + 0.40 L water"]
    mine = replace(jobs[3], dish=replace(jobs[3].dish, stove_minutes=15.0))  # a recipe that the cook told
    told = day_sheet(Plan(outlook, (mine,), 780, 30, 0.8, 0.9, 100))
    assert told.recipes.rows[0][1] == "15 min at the boil"


def test_a_pot_that_leans_too_far_is_wedged():
    """The bare box leans to 30°.  Level water meets the rim of a pot at atan(2 × free height / diameter)."""
    outlook = Outlook(place("Nairobi"), "2026-06-21", oktas=0)
    full = portion(food("soup"), mass=3.4)
    job = Job(Dish(full, STEEL), oven("bare box"), 540, 570, 780, None, 0.9,
              ready=Spread(700.0, 710.0, 730.0, 0.0), reached=Spread(670.0, 680.0, 690.0, 0.0))  # fmt: skip
    told = [line for line, _ in day_sheet(Plan(outlook, (job,), 780, 30, 0.8, 0.9, 100)).site.lines]
    assert "It leans more for soup: wedge the pot level." in told
    flat = replace(job, dish=Dish(portion(food("soup"), mass=0.5), STEEL))
    told = [line for line, _ in day_sheet(Plan(outlook, (flat,), 780, 30, 0.8, 0.9, 100)).site.lines]
    assert not any("wedge" in line for line in told)


def test_plan_b_is_two_and_four_hours_after_loading(sheet):
    told = " ".join(line for line, _ in sheet.plan_b.lines)
    for job in sheet.plan.jobs:
        for after in (120, 240):
            minutes = job.loaded + after
            assert f"{minutes // 60:02d}:{minutes % 60:02d}" in told


def test_bread_has_no_clock_but_an_hour_to_light_the_stove():
    sunny = plan(ADDIS, [BOX], [Dish(food("flat bread"))], eat="12:00", **FEW)
    lines = [line for line, _ in day_sheet(sunny).plan_b.lines]
    assert "Light the stove" in lines[0]
    assert not any("60 °C" in line for line in lines)


def test_sheet_never_calls_food_safe(sheet):
    """Where the word stands, it is denied: "not safe", "never safe", "is not safe food"."""
    text = re.sub(r"<[^>]+>", " ", html(sheet))
    for match in re.finditer(r"\bsafe\b", text):
        before = text[max(match.start() - 20, 0) : match.start()].casefold()
        assert re.search(r"\b(not|never|is not) $", before), text[match.start() - 40 : match.end()]


def test_each_fault_makes_the_same_dish_later_and_the_air_cooler(made, usual):
    got = faulty(made, made.jobs[0], usual.sky)
    assert np.all(got.done[1:] > got.done[0])
    assert np.all(got.highest_cavity[1:] < got.highest_cavity[0])


def test_fault_table_tells_those_numbers(made, usual, sheet):
    got = faulty(made, made.jobs[0], usual.sky)
    ready = np.fmax(got.done, got.judgement.when) / 60.0
    told = [row[1] for row in sheet.faults.rows]
    assert len(told) == 5
    for k in range(5):
        assert told[k] == f"+{round(float(ready[k + 1] - ready[0]))} min"
        assert sheet.faults.rows[k][2].startswith(f"{round(float(got.highest_cavity[k + 1]))} °C")
    assert f"oven air to {round(float(got.highest_cavity[0]))} °C" in sheet.faults.note


def test_recipe_at_altitude_takes_longer_at_its_cooler_boil(sheet):
    (lentils,) = [row for row in sheet.recipes.rows if row[0] == "Lentils"]
    assert lentils[1].startswith("25 min")
    here = int(re.search(r"boil: (\d+) min", lentils[2])[1])
    # 92.2 °C at 2355 m (ICAO and IAPWS [lib]); z 33 K: 25 × 10^(7.8/33) = 43 min
    assert here == pytest.approx(43, abs=1)


def test_talk_tells_egg_and_boil_in_the_order_of_the_day(sheet):
    told = " ".join(text for _, text in sheet.talk.rows)
    eggs = [told.index(words) for words in ("the yolk still flows", "the yolk thickens", "set to the centre")]
    assert eggs == sorted(eggs)
    assert "92 °C" in told
    assert [row[0] for row in sheet.talk.rows] == sorted(row[0] for row in sheet.talk.rows)


def test_portions_follow_the_group(sheet):
    eggs = next(row for row in sheet.portions.rows if row[0] == "Eggs in water")
    assert eggs[1] == "4"
    assert eggs[2] == "8"
    lone = day_sheet(sheet.plan)
    assert {row[2] for row in lone.portions.rows} == {"—"}


def test_page_is_whole_names_no_colour_and_fetches_nothing(sheet):
    for paper in ("A4", "Letter"):
        text = html(sheet, paper)
        page = Page(text)
        assert page.open == []
        assert [tag for tag, _ in page.seen].count("h1") == 1
        assert [tag for tag, _ in Page(html(sheet, paper, card=True)).seen].count("h1") == 2
        assert not [attrs for _, attrs in page.seen if "src" in attrs or "href" in attrs]
        assert "<script" not in text
        colours = set(re.findall(r"#[0-9a-fA-F]{3,6}\b", text))
        assert all(len(set(re.findall("..", c[1:]) if len(c) == 7 else c[1:])) == 1 for c in colours), colours
    with pytest.raises(ValueError, match="A4 or Letter"):
        html(sheet, "A5")


def test_card_has_a_panel_for_every_moment_and_no_words(sheet):
    assert "<svg" not in html(sheet)
    text = html(sheet, card=True)
    svg = text[text.index("<svg") : text.index("</svg>")]
    assert svg.count('role="img"') == len(sheet.moments) + 4
    assert "<text" not in svg
    assert svg.count("<title>") == svg.count('role="img"')


def test_menu_of_refusals_prints_why_and_no_timetable():
    refused = plan(ADDIS, [BOX], [Dish(food("whole chicken, frozen"))], eat="13:00", **FEW)
    got = day_sheet(refused)
    assert got.dishes.rows == ()
    assert "Nothing" in got.headline
    assert safety.RULES["frozen"].text in got.warnings[0]
    assert Page(html(got)).open == []


def test_infeasible_menu_says_so_first():
    grey = Outlook(place("Mumbai"), "2026-07-10", oktas=8)
    never = plan(grey, [oven("bare box")], [Dish(food("black beans, soaked"), STEEL)], eat="12:00", **FEW)
    got = day_sheet(never)
    assert got.headline.startswith("This menu does not work")
    assert len(got.warnings) == 1


def test_file_is_never_written_over_unless_told(tmp_path):
    where = write(tmp_path / "a.html", "one")
    with pytest.raises(FileExistsError, match="there already"):
        write(where, "two")
    assert where.read_text("utf-8") == "one"
    write(where, "two", replace=True)
    assert where.read_text("utf-8") == "two"
    assert [path.name for path in tmp_path.iterdir()] == ["a.html"]


def test_half_a_pot_may_lean_further_than_a_full_one(made):
    (job,) = [job for job in made.jobs if job.dish.food.name == "lentils"]
    half = replace(job, dish=replace(job.dish, food=portion(job.dish.food, mass=0.15)))

    def most(one):
        told = " ".join(line for line, _ in day_sheet(replace(made, jobs=(one,))).site.lines)
        return int(re.search(r"spills beyond: lentils (\d+)°", told)[1])

    assert most(half) > most(job)


def test_notices_that_matter_are_printed_and_rare_ones_are_not(made):
    job = replace(
        made.jobs[0],
        notices=(
            ("boils dry", "…", 0.4),
            ("strong wind", "…", 0.01),
            ("hot glass", "…", 1.0),
            ("sky", "The weather file is for Lund, 412 km away and 90 m lower.", 1.0),
        ),
    )
    told = day_sheet(replace(made, jobs=(job,))).warnings
    assert len(told) == 2
    assert "boils dry too soon on 40 of 100 days" in told[0]
    assert "412 km" in told[1]
    spanish = day_sheet(replace(made, jobs=(job,)), language_code="es").warnings
    assert "a 412 km y 90 m más bajo" in spanish[1]


def test_everything_stands_on_one_page_in_letters_one_can_read(sheet):
    long = replace(sheet, talk=replace(sheet.talk, rows=sheet.talk.rows * 2))
    for paper in ("A4", "Letter"):
        laid = arranged(sheet, paper)
        assert laid.back == ()
        assert laid.size >= 8.0
        assert sorted((*laid.wide, *laid.columns[0], *laid.columns[1])) == sorted(
            ["dishes", "plates", "aims", "steps", "talk", "faults", "cautions", "site", "plan_b", "safety"]
        )
        assert arranged(long, paper).size <= laid.size


def test_what_finds_no_room_goes_on_the_back_and_is_not_lost(sheet):
    crowded = replace(sheet, talk=replace(sheet.talk, rows=sheet.talk.rows * 6))
    laid = arranged(crowded)
    assert laid.back[:1] == ("faults",)
    text = html(crowded)
    assert text.count('class="page"') == 2
    assert all(text.count(f"<h2>{part.title}</h2>") == 1 for part in (sheet.faults, sheet.talk, sheet.safety))


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_no_table_sticks_out_of_its_column(made, paper):
    """French heads are long, and three ovens that tilt apart take a column each: these ran over once."""
    menu = zip((540, 570, 600), ("bare box", "one-mirror box", "four-mirror box"), strict=True)
    jobs = tuple(replace(made.jobs[0], oven=oven(name), put_out=out, loaded=out + 30) for out, name in menu)
    wordy = day_sheet(replace(made, jobs=jobs), language_code="fr", group=30, declination=3.0)
    laid = arranged(wordy, paper)
    assert len(wordy.aims.heads) == 8
    wide = {"A4": 210.0, "Letter": 215.9}[paper] - 2 * EDGE - ASIDE
    for width, column in zip((laid.left, wide - laid.left), laid.columns, strict=True):
        tables = [getattr(wordy, name) for name in column if name in ("aims", "steps", "talk", "faults")]
        assert all(narrowest(table.heads, table.rows, laid.size) <= width for table in tables)
    assert f"grid-template-columns:{laid.left:.1f}mm" in html(wordy, paper)


def test_lines_break_where_they_must():
    assert lines("", 50, 9) == 0
    assert lines("wood", 50, 9) == 1
    assert lines("wood " * 40, 50, 9) > lines("wood " * 40, 100, 9) >= 3
    assert lines("wood " * 40, 50, 9, bold=True) >= lines("wood " * 40, 50, 9)
