"""What people who cook with the sun say, beside what the model says of the same thing.

Each function computes one saying or two that belong together, over draws from the spreads of the catalogue,
and states load, wind, place and date; what a saying leaves open is drawn too.  The numbers a saying is read
as are our reading of common practice, no source.  It agrees where they overlap the model's range from 10 to
90 %.  Neither data nor model are fitted to these: a saying that disagrees stays in the table.

``python -m tests.published.sayings_table`` writes data/sayings.csv and data/sayings.md.
"""

from __future__ import annotations

import zlib
from collections.abc import Callable
from dataclasses import replace

import numpy as np

from solarlab import Handling, cook, food, gain, instants, place, place_at, portion, sky
from solarlab.cook import BURNING_GLASS
from solarlab.doneness import cook_value
from tests.published._kitchen import LOW_WITH_LID, ROLLING, SIMMERING, Burner, kitchen_minutes
from tests.published._saying import (
    CLEAR,
    DARK,
    DATE,
    DRAWS,
    NEVER,
    OKTAS,
    TURNED,
    WHERE,
    Row,
    at,
    between,
    dishes,
    empty,
    minutes,
    ovens,
    pots,
    weather,
)

SEED = 20260320
DRY_SEEDS = 1700.0  # J/(kg K), dry pulses and nuts (handbooks) [memory]


# --- heat ---------------------------------------------------------------------------------------------------


def empty_box(g):
    told = "A well-insulated mirrored box in clear sun, re-aimed, empty, passes 150 °C and can near 200 °C."
    under, rows = weather(g), []
    for name, least in (("four-mirror box", (150.0, 190.0)), ("one-mirror box", (150.0,))):
        highest = empty(ovens(name, g), under, Handling("08:00", 30)).cavity.max(-1)
        for low in least:
            note = "Near 200 °C is read as 190 and more." if low > 150.0 else ""
            where = f"{name}, empty, {TURNED}; {CLEAR}"
            rows.append(Row(told, where, "highest cavity", "°C", (low, NEVER), highest, note))
    return rows


def light_load(g):
    told = "Lightly loaded and re-aimed every half hour, the box stays near kitchen-oven temperatures."
    note = "A kitchen oven is read as 150-230 °C, near as 140 and more."
    under, handling, rows = weather(g), Handling("10:00", 30), []
    later = between(under.times, 11.0, 15.0)
    for name in ("four-mirror box", "one-mirror box"):
        box, tin, seeds = ovens(name, g), pots("open tin", g), g.uniform(0.2, 0.3, DRAWS)
        heat = (tin.mass * tin.specific_heat + seeds * DRY_SEEDS) / (tin.mass + seeds)
        tin = replace(tin, mass=tin.mass + seeds, specific_heat=heat)  # no steam: their heat is the tin's
        dry = empty(box, under, handling, tin)
        wet = cook(under, box, None, dishes("potatoes", g, mass=(0.2, 0.3)), handling).warming
        for words, warming in (("dry seeds in an open tin", dry), ("whole potatoes on the tray", wet)):
            where = f"{name}, 0.2-0.3 kg of {words}, loaded 10:00, {TURNED}; {CLEAR}"
            low = warming.cavity[..., later].min(-1)
            rows.append(Row(told, where, "lowest cavity, 11:00-15:00", "°C", (140.0, 230.0), low, note))
    return rows


def cold_cloud_wind(g):
    cold_said = (
        "Outside temperature matters little beside direct sun: 30 → 0 °C costs less than clear → 6 oktas."
    )
    wind_said = "Wind costs more than people think."
    wind_note = "People think of the cold: read as ½ → 5 m/s costs at least as much as 30 → 0 °C."
    day = instants(place(WHERE), DATE, start="07:00", end="18:00")

    def under(oktas=0, air=30.0, wind=0.5):
        return sky(place(WHERE), day, oktas=oktas, air_temperature=air, wind_speed=wind)

    skies = {"fair": under(), "cold": under(air=0.0), "cloud": under(oktas=6), "wind": under(wind=5.0)}
    noon, handling, rows = between(day, 11.0, 14.0), Handling("09:00", 30), []
    for name in ("four-mirror box", "one-mirror box"):
        box, vessel, soup = ovens(name, g), pots(DARK, g), dishes("soup", g, mass=(1.0, 1.5))
        mean = {key: empty(box, each, handling).cavity[..., noon].mean(-1) for key, each in skies.items()}
        took = {
            key: minutes(cook(each, box, vessel, soup, handling, keep="outcome").done)
            for key, each in skies.items()
        }
        fall = {key: mean["fair"] - mean[key] for key in skies}
        delay = {key: took[key] - took["fair"] for key in skies}
        fair = f"{TURNED}; Phoenix, 20 March, from 30 °C, 0 oktas, wind 0.5 m/s"
        for cost, load, what in (
            (fall, "empty", "fall of the cavity, 11:00-14:00"),
            (delay, f"1-1.5 kg of soup in {DARK}, loaded 09:00", "minutes lost until done"),
        ):
            where = f"{name}, {load}, {fair}"
            ratio = cost["cold"] / cost["cloud"]
            rows.append(Row(cold_said, where, f"{what}: by cold over by cloud", "ratio", (0.0, 1.0), ratio))
            ratio, what = cost["wind"] / cost["cold"], f"{what}: by wind over by cold"
            rows.append(Row(wind_said, where, what, "ratio", (1.0, NEVER), ratio, wind_note))
    return rows


# --- light --------------------------------------------------------------------------------------------------


def tilt(g):
    told = "Tilt the box steeply early, late and in winter; nearly flat at a summer midday."
    note = "Steep is read as 45° and more, nearly flat as 25° and less."
    tilts, zone = np.arange(0.0, 91.0), "Etc/UTC"
    box = ovens("four-mirror box", g, (DRAWS, 1))
    here = place_at(g.uniform(25.0, 45.0, (DRAWS, 1)), 0.0, 0.0, zone)
    cloud, rows = g.uniform(*OKTAS, (DRAWS, 1)), []
    for date, clock, said in (
        ("2026-06-21", "12:00", (0.0, 25.0)),
        ("2026-12-21", "12:00", (45.0, 90.0)),
        ("2026-03-20", "08:00", (45.0, 90.0)),
        ("2026-03-20", "16:00", (45.0, 90.0)),
    ):
        moment = instants(place_at(35.0, 0.0, 0.0, zone), date, start=clock, end=clock[:3] + "10")
        handling = Handling(clock, None, tilt=tilts, aim_error=0.0)
        light = gain(box, sky(here, moment, oktas=cloud), handling).into_cavity[..., 0]
        where = f"four-mirror box turned to the sun, {date} {clock} mean solar time, 25-45° N, 0-1 oktas"
        best = tilts[np.argmax(light, axis=-1)]
        rows.append(Row(told, where, "tilt that lets most light in", "°", said, best, note))
    return rows


def reflector_sheet(g):
    told = "Good reflector sheet returns .80-.90 of the sunlight."
    note = "No check of the model: this is the catalogue's handbook value, less the dust."
    box = ovens("four-mirror box", g)
    share = box.reflectance * (1.0 - box.dust)
    where = "sheet of the four-mirror box, wiped in the morning"
    return [Row(told, where, "share of the light thrown back", "1", (0.80, 0.90), share, note)]


# --- pots and water -----------------------------------------------------------------------------------------


def pots_compared(g):
    glass = "A glass pot takes about a tenth longer than thin dark enamelled steel."
    shiny = "A shiny pot takes clearly longer than thin dark enamelled steel."
    under, handling, rows = weather(g), Handling("10:00", 30), []
    for name in ("four-mirror box", "one-mirror box"):
        for load, low, high in (("rice", 0.3, 0.5), ("soup", 1.0, 1.5)):
            box, served = ovens(name, g), dishes(load, g, mass=(low, high))
            took = {
                kind: minutes(cook(under, box, pots(kind, g), served, handling, keep="outcome").done)
                for kind in (DARK, "glass", "shiny stainless")
            }
            where = f"{name}, {low:g}-{high:g} kg of {load}, loaded 10:00, {TURNED}; {CLEAR}"
            over_dark, what = took["glass"] / took[DARK], "time until done, over dark steel's"
            rows.append(Row(glass, where, what, "ratio", (1.05, 1.15), over_dark))
            over_dark, note = took["shiny stainless"] / took[DARK], "Clearly is read as 1.15 and more."
            rows.append(Row(shiny, where, what, "ratio", (1.15, NEVER), over_dark, note))
            over_glass, what = took["shiny stainless"] / took["glass"], "time until done, over glass's"
            note = "Clearly longer beside a tenth longer: longer than glass."
            rows.append(Row(shiny, where, what, "ratio", (1.0, NEVER), over_glass, note))
    return rows


def less_water(g):
    told = "Rice, pasta and sauces take about a third less water than on a stove."
    note = "About a third is read as 25-40 %."
    rows = []
    for name in ("four-mirror box", "one-mirror box"):
        for label, load, mass, moisture, burner, words in (
            ("0.4 kg of rice", "rice", 0.4, (0.60, 0.68), LOW_WITH_LID,
             "lid on, burner turned low (400-700 W), 15-20 min"),
            ("0.3 kg of pasta, not drained", "pasta", 0.3, (0.58, 0.64), ROLLING,
             "no lid, rolling boil (1200-1800 W), 8-12 min"),
            ("a sauce of 1.2 kg, 0.4-0.7 kg of it added water", "soup", 1.2, None, SIMMERING,
             "no lid, simmering (500-900 W), 25-35 min"),
        ):  # fmt: skip
            saved = _water_saved(g, name, load, mass, moisture, burner)
            where = (
                f"{name}, {label}, lidded {DARK}, loaded 10:00, taken out when done, {TURNED}; {CLEAR}. "
                f"Stove: the same pot, {words}, .4-.6 of the burner's heat into the pot"
            )
            rows.append(Row(told, where, "water saved", "%", (25.0, 40.0), saved, note))
    return rows


def _water_saved(g, name, load, mass, moisture, burner: Burner):
    """Per cent less water than on the stove: beside what the dish keeps, what either way boils off."""
    under, served, vessel = weather(g), dishes(load, g, mass=(mass, mass)), pots(DARK, g)
    if moisture is None:
        kept = g.uniform(0.4, 0.7, DRAWS)
    else:  # of the cooked dish: rice .58-.64 [seen], .68 (USDA) [memory]; pasta .62 (USDA) [memory]
        dry = mass * (1.0 - food(load).composition["water"])
        kept = dry / (1.0 - g.uniform(*moisture, DRAWS)) - mass
        served = portion(served, water=kept + 0.05)
    result = cook(under, ovens(name, g), vessel, served, Handling("10:00", 30))
    elapsed = (np.arange(under.times.shape[-1]) - result.loaded[:, None]) * under.times.step
    when = result.done
    if moisture is None:  # a sauce: as much cooking as half an hour's simmer
        value = cook_value(elapsed, result.warming.liquid)
        when = np.array([np.interp(30.0, v, e) for v, e in zip(value, elapsed, strict=True)])
    water = result.warming.water
    gone = water[:, 0] - at(elapsed, water, when)
    return 100.0 * (1.0 - (kept + gone) / (kept + burner.boiled_off(vessel, g, DRAWS)))


# --- dishes -------------------------------------------------------------------------------------------------


def dry_egg(g):
    told = "A dry egg on the tray sets hard without water."
    under, rows = weather(g), []
    for name in ("four-mirror box", "one-mirror box", "bare box"):
        result = cook(under, ovens(name, g), None, dishes("egg", g), Handling("10:00", 30), keep="outcome")
        where = f"{name}, one egg of about 20 °C on the tray, into a cold oven at 10:00, {TURNED}; {CLEAR}"
        took = minutes(result.done)
        rows.append(Row(told, where, "until hard to the centre", "min", (0.0, 480.0), took, "By 18:00."))
    return rows


def loaf(g):
    told = "A loaf of 45-60 kitchen minutes takes 2-2.5 h where a veil of cloud holds the box near 90-110 °C."
    worse = "A loaf baked so is none the worse."
    n = 3 * DRAWS
    under, handling = weather(g, n, oktas=(5.5, 6.6)), Handling("11:00", 30, preheat=60.0)
    box, bread, tin = ovens("four-mirror box", g, n), dishes("loaf", g, n), pots("open tin", g, n)
    result = cook(under, box, tin, bread, handling)
    took, begin = minutes(result.done), int(result.loaded[0])
    clock = np.arange(under.times.shape[-1] - begin) * under.times.step / 60.0
    cavity, core = result.warming.cavity[:, begin:], result.warming.core[:, begin:]
    baking = clock <= np.minimum(took, 150.0)[:, None]
    mean = np.sum(cavity * baking, axis=-1) / baking.sum(-1)
    kept = (mean >= 90.0) & (mean <= 110.0)
    kitchen = kitchen_minutes(bread, tin, g.uniform(180.0, 200.0, n))
    where = (
        f"four-mirror box, 0.75 kg loaf in its tin, preheated 60 min, loaded 11:00, {TURNED}; Phoenix, "
        f"20 March, 5.5-6.6 oktas, wind 0.5-3 m/s, air 15-30 °C: those {kept.sum()} of {n} draws whose mean "
        "cavity while baking is 90-110 °C"
    )
    home = "0.75 kg loaf in its tin in a kitchen oven held at 180-200 °C, vented"
    over, until = "time over the same loaf's in the kitchen oven", "until the crumb is set"
    rule = "Done is the crumb set to the middle, like 5 min at 95 °C; a baker also waits for the crust."
    crumb = at(clock, core, took)
    return [
        Row(told, home, until, "min", (45.0, 60.0), kitchen, rule),
        Row(told, where, until, "min", (120.0, 150.0), took[kept], rule),
        Row(told, where, over, "ratio", (120.0 / 60.0, 150.0 / 45.0), took[kept] / kitchen[kept]),
        Row(worse, where, "middle of the crumb when done", "°C", (93.0, 98.0), crumb[kept],
            "Read as the crumb of a kitchen loaf; the model has no crust and no colour."),
    ]  # fmt: skip


def aimed_once(g):
    told = "Aimed once toward the equator in mid-morning and left, a pot meal is cooked by late afternoon."
    under, rows = weather(g), []
    for name, load, low, high, slope in (
        ("four-mirror box", "thick stew", 1.2, 1.8, 34.0),
        ("one-mirror box", "thick stew", 1.2, 1.8, 34.0),
        ("one-mirror box", "black beans, soaked", 0.4, 0.6, 34.0),
        ("cardboard box", "black beans, soaked", 0.4, 0.6, 25.0),
    ):
        aim = Handling("10:00", None, tilt=slope, azimuth=180.0)
        meal = dishes(load, g, mass=(low, high))
        result = cook(under, ovens(name, g), pots(DARK, g), meal, aim, keep="outcome")
        where = (
            f"{name}, {low:g}-{high:g} kg of {load} in {DARK}, loaded 10:00, aimed south at {slope:g}° and "
            f"left; {CLEAR}"
        )
        took, note = minutes(result.done) / 60.0, "Late afternoon is read as 17:00."
        rows.append(Row(told, where, "from 10:00 until done", "h", (0.0, 7.0), took, note))
    return rows


# --- two dangerous sayings ----------------------------------------------------------------------------------


def frozen_chicken(g):
    told = "A frozen chicken can be left in the oven all day."
    left, turned = Handling("08:00", None, tilt=34.0, azimuth=180.0), Handling("08:00", 30)
    note, rows = "Read as no more than the 2 h that the come-up clock allows.", []
    kind = f"{note}  {TURNED} is not left.  Refused all the same: nobody sees inside the bird."
    cloud, clouds = {"07:00": 0, "09:30": 6}, CLEAR.replace("0-1 oktas", "0 oktas, 6 from 09:30")
    for name, under, handling, words, remark in (
        ("one-mirror box", weather(g), left, f"aimed south at 34° and left; {CLEAR}", note),
        ("four-mirror box", weather(g), left, f"aimed south at 34° and left; {CLEAR}", note),
        ("four-mirror box", weather(g, oktas=cloud), left, f"aimed south at 34° and left; {clouds}", note),
        ("four-mirror box", weather(g), turned, f"{TURNED}; {CLEAR}", kind),
    ):
        bird, vessel = dishes("whole chicken, frozen", g), pots(DARK, g)
        result = cook(under, ovens(name, g), vessel, bird, handling, keep="outcome")
        hours = result.judgement.clocks["come_up"] / 3600.0
        where = f"{name}, whole frozen chicken (-18 °C, 1.5 kg) in {DARK}, loaded 08:00, {words}"
        what = "from 5 °C at the skin to 60 °C at the coldest point"
        rows.append(Row(told, where, what, "h", (0.0, 2.0), hours, remark, dangerous=True))
    return rows


def burning_glass(g):
    told = "The glass cannot burn you."
    note = f"Skin burns in about 5 s on glass of {BURNING_GLASS:.0f} °C (140 °F)."
    under, handling, rows = weather(g), Handling("09:00", 30), []
    for name in ("four-mirror box", "school box", "one-mirror box", "bare box"):
        box, soup, vessel = ovens(name, g), dishes("soup", g, mass=(2.0, 2.5)), pots(DARK, g)
        bare = empty(box, under, handling)
        loaded = cook(under, box, vessel, soup, handling, keep="outcome").highest_glazing
        panes = [
            ("empty", "outside of the glass", bare.outer_glazing.max(-1)),
            (f"2-2.5 kg of soup in {DARK}", "outside of the glass", loaded),
        ]
        if box.glazing_sheets > 1:
            panes.append(("empty", "inner pane, met when the lid opens", bare.inner_glazing.max(-1)))
        for load, pane, hottest in panes:
            where, what = f"{name}, {load}, from 09:00, {TURNED}; {CLEAR}", f"highest, {pane}"
            rows.append(Row(told, where, what, "°C", (0.0, BURNING_GLASS), hottest, note, dangerous=True))
    return rows


SAYINGS: tuple[Callable[[np.random.Generator], list[Row]], ...] = (
    empty_box,
    light_load,
    cold_cloud_wind,
    tilt,
    reflector_sheet,
    pots_compared,
    less_water,
    dry_egg,
    loaf,
    aimed_once,
    frozen_chicken,
    burning_glass,
)


def compute() -> dict[str, Row]:
    """All rows by key; each function draws from a seed of its own, so that one more moves no other."""
    rows = {}
    for saying in SAYINGS:
        generator = np.random.default_rng([SEED, zlib.crc32(saying.__name__.encode())])
        for number, row in enumerate(saying(generator), 1):
            rows[f"{saying.__name__}_{number}"] = row
    return rows
