"""The shelf of ovens, pots, foods and places: every number sourced, every thing usable, every slip named."""

from __future__ import annotations

import pickle
import re
import subprocess
import sys
from dataclasses import fields, replace
from zoneinfo import available_timezones

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from solarlab import _shelf, doneness, safety
from solarlab import catalogue as c
from solarlab._composition import density
from solarlab._limits import COMPOSITION, LIMITS
from solarlab.food import body as body_of

SHELF = [(c.oven, n) for n in c.ovens()] + [(c.pot, n) for n in c.pots()]
SHELF += [(c.food, n) for n in c.foods()] + [(c.place, n) for n in c.places()]
THINGS = [take(name) for take, name in SHELF]
NAMED = [f"{take.__name__} {name}" for take, name in SHELF]
each_thing = pytest.mark.parametrize("thing", THINGS, ids=NAMED)
drawable = pytest.mark.parametrize("thing", [t for t in THINGS if not isinstance(t, c.Place)], ids=str)


def numbers(thing):
    """Every number a thing holds: (key in its sources, value)."""
    for name in LIMITS[type(thing).__name__]:
        yield name, getattr(thing, name)
    for mirror in getattr(thing, "reflectors", ()):
        yield f"reflectors.{mirror.edge}.length", mirror.length
        yield f"reflectors.{mirror.edge}.flare", mirror.flare
    for name, share in getattr(thing, "composition", {}).items():
        yield f"composition.{name}", share


# --- what is on the shelf ----------------------------------------------------------------------------------


def test_the_shelf_holds_what_the_course_promises():
    assert len(c.ovens()) >= 5 and len(c.pots()) >= 6 and len(c.foods()) >= 12 and len(c.places()) >= 12
    mirrors = {name: len(c.oven(name).reflectors) for name in c.ovens()}
    assert mirrors["bare box"] == 0 and mirrors["one-mirror box"] == 1 and mirrors["four-mirror box"] == 4
    wanted = (
        "egg", "water", "soup", "rice", "lentils", "black beans, soaked", "black beans, unsoaked",
        "kidney beans", "potatoes", "chicken pieces", "whole chicken, chilled", "whole chicken, frozen",
        "fish", "flat bread", "loaf", "pasta", "porridge", "thick stew",
    )  # fmt: skip
    assert set(wanted) <= set(c.foods())


def test_places_span_hemispheres_tropics_and_heights():
    there = [c.place(name) for name in c.places()]
    latitudes = np.array([p.latitude for p in there])
    assert (latitudes > 24).sum() >= 4 and (latitudes < -24).sum() >= 3 and (abs(latitudes) < 23.4).sum() >= 5
    assert sum(p.elevation > 2000 for p in there) >= 4
    for p in there:  # its clock suits its longitude
        assert c.place_at(p.latitude, p.longitude, p.elevation, p.timezone).longitude == p.longitude


@each_thing
def test_every_number_has_unit_spread_and_source(thing):
    units = {name: unit for name, (_, _, unit) in LIMITS[type(thing).__name__].items()}
    found = dict(numbers(thing))
    assert set(thing.sources) == set(found)
    for key, value in found.items():
        q = thing.sources[key]
        assert q.value == value and q.low <= value <= q.high
        assert q.unit == units.get(key, LIMITS["Reflector"].get(key.split(".")[-1], (0, 1, "1"))[2])
        assert q.spread >= 0.0 and len(q.source) > 8
        if q.spread == 0.0 and (value != 0.0 or "composition" not in key):  # exact by definition or choice
            exact = r"(by definition|our own design|computed|common practice|our own estimate)"
            assert re.match(exact, q.source), key


def test_every_source_is_spelled_out_and_marked():
    kept = _shelf.references()
    for name, full in kept.items():
        assert re.search(r"\[(seen|memory)", full) or name in (
            "design", "computed", "estimate", "practice", "definition"
        ), name  # fmt: skip
    cited = {q.source for thing in THINGS for q in thing.sources.values()}
    assert all(source.startswith(tuple(kept.values())) for source in cited)
    assert all(
        any(source.startswith(full) for source in cited) for full in kept.values()
    )  # none is left over


@each_thing
def test_describing_a_thing_prints_every_number_with_its_source(thing):
    text = str(c.describe(thing))
    for _, value in numbers(thing):
        assert f"{value:.6g}" in text
    assert all(q.source in text for q in thing.sources.values())
    html = thing._repr_html_()
    assert html.startswith("<table>") and html.count("<tr>") == text.count("\n")
    if isinstance(thing, c.Food):
        assert "°F" in text


def test_describing_a_changed_number_says_so():
    told = str(c.describe(replace(c.oven("bare box"), dust=0.1)))
    assert "changed by hand; was 0.03" in told
    assert "stated by hand" in str(c.describe(replace(c.oven("bare box"), sources={})))
    many = c.vary(c.oven("bare box"), np.random.default_rng(1), 50)
    assert "in 80 % of 50" in str(c.describe(many))


@pytest.mark.parametrize("name", c.foods())
def test_foods_are_whole_and_their_rules_exist(name):
    dish = c.food(name)
    assert set(dish.composition) == set(COMPOSITION)
    assert sum(dish.composition.values()) == pytest.approx(1.0, abs=1.5e-3)
    assert dish.doneness in doneness.RULES
    assert dish.safety and set(dish.safety) <= set(safety.RULES)
    if dish.form == "solid" and not name.startswith("whole chicken"):
        assert body_of(dish, None).pieces == dish.pieces
    fits = 0
    for vessel in c.pots():
        try:
            body = body_of(dish, c.pot(vessel))
        except ValueError as error:
            assert "holds" in str(error)  # too much for that one
        else:
            fits += 1
            assert body.form == dish.form
    assert fits >= 4


def test_the_mass_of_one_piece_suits_its_size():
    for name in c.foods():
        dish = c.food(name)
        if dish.shape == "sphere" and dish.form in ("solid", "pieces"):
            solid = density(dish.composition, 20.0) * (1.0 - dish.porosity)
            volume = dish.mass / dish.pieces / solid
            equal = (3.0 * volume / (4.0 * np.pi)) ** (1.0 / 3.0)
            assert dish.half_thickness == pytest.approx(equal, rel=0.25), name


def test_the_loaf_fills_its_tin():
    dough, tin = c.food("loaf"), c.pot("open tin")
    volume = dough.mass / density(dough.composition, 25.0) / (1.0 - dough.porosity)
    assert volume == pytest.approx(np.pi / 4 * tin.diameter**2 * tin.height, rel=0.15)


def test_heat_capacities_and_conductances_are_the_sums_their_comments_state():
    outside = 1 / 8  # m² K/W
    box = c.oven("bare box")
    assert box.wall_conductance == pytest.approx(1.3 / (0.050 / 0.040 + outside), rel=0.01)
    assert box.wall_area == pytest.approx(0.25 + 4 * 0.50 * box.cavity_depth)
    sheet, tray, wool, air = 0.65 * 0.0005 * 2700 * 900, 0.25 * 0.001 * 7850 * 470, 0.39 * 840, 0.05 * 1100
    assert box.cavity_heat_capacity == pytest.approx(sheet + tray + wool + air, rel=0.02)
    walls = {"four-mirror box": (1.3, 0.050, 0.042), "school box": (1.3, 0.080, 0.042)}
    for name, (bridges, thick, k) in (walls | {"cardboard box": (1.2, 0.050, 0.060)}).items():
        assert c.oven(name).wall_conductance == pytest.approx(bridges / (thick / k + outside), rel=0.01)


def test_no_brand_signs_in_the_data():
    for file in (each for each in _shelf.folder().iterdir() if each.is_file()):
        text = file.read_text("utf-8")
        assert not re.search(r"®|™|\(R\)|\(TM\)|\b(Inc|Ltd|GmbH|Corp)\b", text), file.name
        assert not re.search(r"https?:|www\.", text), file.name


# --- finding a thing ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("take", "wrong", "right"),
    [
        (c.oven, "four mirrors box", "four-mirror box"),
        (c.pot, "cast irn", "cast iron"),
        (c.food, "chicken", "chicken pieces"),
        (c.food, "kidny beans", "kidney beans"),
        (c.place, "Narobi", "Nairobi"),
        (c.place, "Tromso", "Tromsø"),
    ],
)
def test_an_unknown_name_suggests_the_near_one(take, wrong, right):
    with pytest.raises(ValueError, match=f"there is no {take.__name__} '{wrong}'; did you mean .*{right}"):
        take(wrong)


def test_a_name_near_nothing_lists_what_there_is():
    with pytest.raises(ValueError, match="there is no oven 'xyzzy'; there are bare box, one-mirror box"):
        c.oven("xyzzy")
    with pytest.raises(ValueError, match="names are text"):
        c.oven(3)


def test_case_hyphens_and_commas_do_not_matter():
    assert c.oven("Four_Mirror box") is c.oven("four-mirror box")
    assert c.food("whole chicken frozen") is c.food("whole chicken, frozen")


def test_importing_the_catalogue_reads_no_file():
    code = "import solarlab.catalogue as c, solarlab._shelf as s; print(s.folder.cache_info().misses)"
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True,
                         cwd=_shelf.Path(_shelf.__file__).parent.parent)  # fmt: skip
    assert ran.stdout.strip() == "0"


def test_things_are_kept_apart_hashed_and_pickled():
    for thing in THINGS:
        assert hash(thing) == hash(replace(thing)) and pickle.loads(pickle.dumps(thing)) == thing
    with pytest.raises(AttributeError):
        THINGS[0].name = "other"


# --- bad input ---------------------------------------------------------------------------------------------

BOX, POT, EGG = c.oven("four-mirror box"), c.pot("glass"), c.food("egg")
NAN = float("nan")
SLIPS = [
    (lambda: c.Place("x", 95.0, 0.0, 0.0, "UTC"), "x: latitude is 95 °; it must lie between -90 and 90 °."),
    (lambda: c.Place("x", NAN, 0.0, 0.0, "UTC"), "x: latitude is nan °"),
    (lambda: c.Place("x", "north", 0.0, 0.0, "UTC"), "latitude is 'north'; it must be a number"),
    (lambda: c.Place("x", 0.0, 200.0, 0.0, "UTC"), "longitude is 200 °"),
    (lambda: c.Place("x", 0.0, 0.0, 9000.0, "UTC"), "elevation is 9000 m"),
    (lambda: c.Place("x", 0.0, 0.0, 0.0, "Africa/Nairobbi"), "did you mean 'Africa/Nairobi'"),
    (lambda: c.Place("x", 0.0, 0.0, 0.0, ""), "timezone '' is not known"),
    (lambda: c.Place("x", 0.0, 0.0, 0.0, None), "timezone None is not known"),
    (lambda: c.place_at(-1.3, -36.8, 1795, "Africa/Nairobi"), "check the sign of the longitude"),
    (lambda: c.Reflector("back", 0.5, 30.0), "edge is 'back'; it is one of top, bottom, left, right."),
    (lambda: c.Reflector("top", -0.5, 30.0), "length is -0.5 m"),
    (lambda: c.Reflector("top", 0.5, 120.0), "flare is 120 °"),
    (lambda: replace(BOX, reflectance=1.2), "reflectance is 1.2; it must lie between 0 and 1."),
    (lambda: replace(BOX, tilt_min=60.0, tilt_max=20.0), "tilt_min is above tilt_max"),
    (lambda: replace(BOX, glazing_sheets=3), "glazing_sheets is 3"),
    (lambda: replace(BOX, glazing_sheets=1.5), "glazing_sheets is 1.5; it is 1 or 2."),
    (lambda: replace(BOX, glazing_thickness=3.2), "glazing_thickness is 3.2 m"),
    (lambda: replace(BOX, reflectors=BOX.reflectors[:1] * 2), "each edge carries at most one"),
    (lambda: replace(BOX, wall_conductance=None), "wall_conductance is None; it must be a number"),
    (lambda: replace(BOX, dust=np.array([0.1, NAN])), "dust is nan"),
    (lambda: replace(BOX, dust=np.zeros(2), reflectance=np.zeros(3)), "different numbers of scenarios"),
    (lambda: replace(POT, mass=-1.0), "mass is -1 kg"),
    (lambda: replace(POT, absorptance=0.5), "add up to more than 1"),
    (lambda: replace(EGG, mass=-0.06), "mass is -0.06 kg"),
    (lambda: replace(EGG, mass=0.0), "nothing to cook"),
    (lambda: replace(EGG, initial_temperature=140.0), "initial_temperature is 140 °C.* Is it in °F?"),
    (lambda: replace(EGG, form="solids"), "form is 'solids'; it is one of liquid"),
    (lambda: replace(EGG, composition={"water": 0.7, "protein": 0.1}), "composition sums to 0.800"),
    (lambda: replace(EGG, composition={"water": 0.7, "sugar": 0.3}), "no part 'sugar'"),
    (lambda: replace(EGG, safety="egg"), "safety a tuple"),
    (lambda: c.Handling(loaded="9.30"), "loaded is '9.30'; give a local clock time such as '09:30'."),
    (lambda: c.Handling(loaded="25:00"), "loaded is '25:00'"),
    (lambda: c.Handling(reaim_every=0.0), "reaim_every is 0 min"),
    (lambda: c.Handling(tilt=100.0), "tilt is 100 °"),
    (lambda: c.Handling(lid_openings=(-5.0,)), "lid_openings is -5 min"),
    (lambda: c.Handling(standing=NAN), "standing is nan"),
    (lambda: c.portion(EGG, mass=-1.0), "mass is -1 kg"),
]  # fmt: skip


@pytest.mark.parametrize(("slip", "told"), SLIPS, ids=[told for _, told in SLIPS])
def test_bad_input_gets_one_clear_sentence(slip, told):
    with pytest.raises(ValueError) as caught:
        slip()
    message = str(caught.value)
    assert re.search(told, message) or told in message
    assert "\n" not in message and message[-1] in ".?" and len(message) < 200


def test_good_input_made_by_hand_is_taken():
    assert c.Place("x", 90, -180, -400, "Etc/GMT+5").timezone in available_timezones()
    assert c.Handling(
        reaim_every=None, loaded=np.array(["08:00", "09:30"]), tilt=np.array([10.0, 20.0])
    ).tilt.size
    assert replace(c.food("water"), half_thickness=0.0, pieces=0.0).pieces == 0.0
    assert c.place_at(1.87, -157.4, 3, "Pacific/Kiritimati")  # its day runs 24 hours ahead of its sun


# --- draws -------------------------------------------------------------------------------------------------


@drawable
def test_draws_stay_in_bounds_and_repeat(thing):
    one, two = (c.vary(thing, np.random.default_rng(7), 400) for _ in range(2))
    drawn = 0
    for item in fields(thing):
        value, again = getattr(one, item.name), getattr(two, item.name)
        if not isinstance(value, np.ndarray):
            assert value == getattr(thing, item.name)
            continue
        drawn += 1
        q = thing.sources[item.name]
        assert value.shape == (400,) and np.array_equal(value, again) and q.spread > 0.0
        assert np.all((value >= q.low) & (value <= q.high)) and np.ptp(value) > 0.0
        assert (
            abs(np.mean(value) - q.value) < 0.5 * q.spread and 0.5 * q.spread < np.std(value) < 1.1 * q.spread
        )
    assert drawn >= 2
    assert type(one) is type(thing) and one.sources == thing.sources


def test_draws_leave_geometry_alone():
    many = c.vary(BOX, np.random.default_rng(0), 10)
    assert many.reflectors == BOX.reflectors
    assert all(getattr(many, name) == getattr(BOX, name) for name in c.FIXED if hasattr(BOX, name))


def test_draws_follow_a_value_changed_by_hand():
    dusty = c.vary(replace(BOX, dust=0.4), np.random.default_rng(0), 500).dust  # above the source's own bound
    assert np.mean(dusty) == pytest.approx(0.4, abs=0.005)


def test_drawing_from_nothing_or_twice_is_an_error():
    with pytest.raises(ValueError, match="no number states a spread"):
        c.vary(replace(BOX, sources={}), np.random.default_rng(0), 3)
    with pytest.raises(ValueError, match="holds draws already"):
        c.vary(c.vary(BOX, np.random.default_rng(0), 3), np.random.default_rng(0), 3)


# --- portions ----------------------------------------------------------------------------------------------


@drawable
def test_draws_are_equal_to_their_like_and_keep_their_place_in_a_set(thing):
    one, same = (c.vary(thing, np.random.default_rng(7), 3) for _ in range(2))
    other = c.vary(thing, np.random.default_rng(8), 3)
    assert one == same == pickle.loads(pickle.dumps(one)) and one != other and one != thing
    assert {one, same, other, thing} == {one, other, thing}


@given(st.sampled_from(c.foods()), st.floats(0.3, 3.0))
def test_a_portion_keeps_water_per_food_and_the_density_of_a_piece(name, ratio):
    dish = c.food(name)
    more = c.portion(dish, mass=ratio * dish.mass)
    assert more.water / more.mass == pytest.approx(dish.water / dish.mass)
    if dish.form in ("solid", "pieces"):
        cubes = [(d.mass / d.pieces) / d.half_thickness**3 for d in (more, dish)]
        assert cubes[0] == pytest.approx(cubes[1], rel=1e-9)
        assert more.pieces == (1 if dish.pieces == 1 else max(round(dish.pieces * ratio), 1))
    for key in ("mass", "water", "half_thickness", "pieces"):
        q = more.sources[key]
        assert q.value == getattr(more, key) and q.low <= q.value <= q.high
        old = dish.sources[key]
        assert q.spread * old.value == pytest.approx(old.spread * q.value)


def test_a_portion_by_the_piece():
    eggs = c.portion(c.food("eggs in water"), mass=0.12)
    assert eggs.pieces == 2.0 and eggs.half_thickness == pytest.approx(0.024)
    bird = c.portion(c.food("whole chicken, chilled"), mass=3.0)
    assert bird.pieces == 1.0 and bird.half_thickness == pytest.approx(0.048 * 2 ** (1 / 3))
    halves = c.portion(c.food("potatoes"), pieces=16)
    assert halves.mass == 1.0 and halves.half_thickness == pytest.approx(0.030 * 0.5 ** (1 / 3))
    thin = c.portion(c.food("rice"), water=0.9, initial_temperature=15.0)
    assert (thin.mass, thin.water, thin.initial_temperature, thin.pieces) == (0.4, 0.9, 15.0, 20000.0)
    assert thin.sources["initial_temperature"].spread == 3.0
    assert c.portion(c.food("rice")) == c.food("rice")
    many = c.portion(c.food("rice"), mass=np.array([0.2, 0.4]))
    assert np.allclose(many.water, [0.3, 0.6]) and np.allclose(many.half_thickness, 0.0009)
