"""Every picture can be read without seeing it, without colour, and without the drawing."""

import re

import numpy as np
import pandas as pd
import pytest
from matplotlib.figure import Figure
from matplotlib.text import Text

from solarlab import _drawing, _picture, figures
from tests.test_palette import contrast

# --- one example of every picture ---------------------

TIMES = pd.date_range("2025-06-21 08:00", "2025-06-21 15:00", freq="5min", tz="Europe/Athens")
HOURS = np.linspace(0.0, 7.0, len(TIMES))
OVEN = 25 + 100 * (1 - np.exp(-HOURS / 0.7)) * np.sin((HOURS + 1.5) / 9 * np.pi)
CURVES = {
    "yolk centre": 4 + (OVEN - 4) * (1 - np.exp(-((HOURS / 1.5) ** 2))),
    "egg surface": 4 + (OVEN - 4) * (1 - np.exp(-HOURS / 0.8)),
    "oven air": OVEN,
    "outside air": 24 + 6 * np.sin(HOURS / 8 * np.pi),
}
POWERS = {
    "into the cavity": 300 * np.sin((HOURS + 2) / 11 * np.pi),
    "soaked up by the glass": 30 * np.sin((HOURS + 2) / 11 * np.pi),
}
MARKS = (
    ("white set", TIMES[25]),
    ("yolk jammy", TIMES[38]),
    ("yolk hard", TIMES[40]),
    ("71 °C inside", None),
)
RADIUS = np.linspace(0.001, 0.0225, 24)
YOLK = RADIUS < 0.015
SET = np.clip((RADIUS / 0.0225) ** 3 * 1.5, 0, 1)


def day_of_sun(latitude, declination):
    """A day of azimuth and elevation by the closed form, solar noon at 12:30 on the clock."""
    times = pd.date_range("2025-06-21 00:00", "2025-06-21 23:55", freq="5min", tz="Africa/Nairobi")
    hour_angle = np.radians((np.arange(len(times)) / 12 - 12.5) * 15)
    lat, dec = np.radians(latitude), np.radians(declination)
    up = np.sin(lat) * np.sin(dec) + np.cos(lat) * np.cos(dec) * np.cos(hour_angle)
    east = -np.cos(dec) * np.sin(hour_angle)
    north = np.sin(dec) * np.cos(lat) - np.cos(dec) * np.sin(lat) * np.cos(hour_angle)
    return times, np.degrees(np.arctan2(east, north)) % 360, np.degrees(np.arcsin(up))


def moment(clock):
    return pd.Timestamp(f"2025-06-21 {clock}", tz="Europe/Athens")


def examples():
    return {
        "temperatures": figures.temperatures(TIMES, CURVES, marks=MARKS, levels={"yolk sets near here": 70}),
        "powers": figures.powers(TIMES, POWERS),
        "cooking_day": figures.cooking_day(TIMES, CURVES, POWERS, marks=MARKS),
        "egg_section": figures.egg_section(RADIUS, SET, YOLK),
        "egg_bench": figures.egg_bench(TIMES, CURVES, POWERS, RADIUS, SET, YOLK, TIMES[35], marks=MARKS),
        "ledger": figures.ledger(5e6, {"through the walls": 2e6, "into the food": 3.1e6, "given back": -1e5}),
        "sun_path": figures.sun_path({f"day {d}": day_of_sun(-1.3, d) for d in (23.4, 0.0, -23.4)}),
        "clocks": figures.clocks(
            [
                ("standing before", moment("07:30"), moment("08:00"), "expected", "Out of the fridge."),
                (
                    "come-up 5–60 °C",
                    moment("08:00"),
                    moment("11:20"),
                    "too slow",
                    "Over 2 h: finish on a stove.",
                ),
                ("cooling after", moment("14:00"), moment("18:30"), "refuse", "Over 4 h."),
                ("loss of sun", moment("15:00"), moment("15:20"), "no verdict", "No reading."),
            ],
            verdict="Too slow: finish on a stove now, eat at once, keep nothing.",
        ),
        "sayings": figures.sayings(
            [
                (
                    "An empty mirrored box, re-aimed in clear sun, passes 150 °C",
                    "°C",
                    150,
                    np.inf,
                    141,
                    158,
                    173,
                ),
                (
                    "A glass pot takes about a tenth longer than dark steel",
                    "times",
                    1.05,
                    1.15,
                    1.2,
                    1.3,
                    1.5,
                ),
            ]
        ),
        "calibration": figures.calibration([50, 70, 90], [40, 75, 80], [5, 8, 10]),
    }


KIT = {"Picture", "blank", "clock_text", "dress", "line", "sampled"}  # they draw no whole picture
KIT |= {"table_html", "without_pictures"}
NAMES = [name for name in figures.__all__ if name not in KIT and not name.isupper()]


@pytest.fixture(scope="module")
def pictures():
    return examples()


def test_every_public_drawing_has_an_example_here(pictures):
    assert sorted(pictures) == sorted(NAMES)


# --- a picture is refused without words or numbers ---------------------


@pytest.mark.parametrize("alt", ["", "   ", "Temperatures", "A plot.", None])
def test_a_picture_without_alt_text_is_refused(alt):
    with pytest.raises(ValueError, match="alt text"):
        figures.Picture(Figure(), alt, pd.DataFrame({"a": [1]}), "Temperatures")


def test_a_title_repeated_is_not_alt_text():
    words = "The temperature of the yolk through the whole of one sunny day"
    with pytest.raises(ValueError, match="alt text"):
        figures.Picture(Figure(), words, pd.DataFrame({"a": [1]}), words)


@pytest.mark.parametrize("table", [None, pd.DataFrame(), pd.DataFrame({"a": []}), [[1, 2]]])
def test_a_picture_without_a_table_is_refused(table):
    with pytest.raises(ValueError, match="table"):
        figures.Picture(Figure(), "The yolk peaks at 84 °C (183 °F) at 13:10.", table)


def test_a_picture_needs_a_drawing():
    with pytest.raises(TypeError, match="Figure"):
        figures.Picture(None, "The yolk peaks at 84 °C (183 °F) at 13:10.", pd.DataFrame({"a": [1]}))


@pytest.mark.parametrize("name", NAMES)
def test_words_hold_numbers_and_html_holds_words_and_table(pictures, name):
    picture = pictures[name]
    html = picture._repr_html_()
    assert re.search(r"\d", picture.alt)
    assert f'alt="{_picture.escape(picture.alt)}"' in html
    assert "<table>" in html and html.count("<tr>") == len(picture.table) + 1
    assert "nan" not in picture.alt.lower() and ">nan<" not in html


# --- what is stored and compared ---------------------


@pytest.mark.parametrize(("celsius", "told"), [(-17.8, "-18 °C (0 °F)"), (-0.3, "0 °C (31 °F)")])
def test_a_temperature_near_nought_is_never_minus_nought(celsius, told):
    pic = figures.temperatures(TIMES, {"freezer": np.full(len(TIMES), celsius)})
    drawn = [text.get_text() for text in pic.figure.findobj(Text)]
    assert f"starts at {told}" in pic.alt
    for words in (pic.alt, pic._repr_html_(), *drawn):
        assert not re.search(r"(?<!\d)[-−]0(?![\d.])", re.sub(r"base64,[^\"]*", "", words)), words[:200]


def test_a_stored_picture_keeps_words_and_loses_pixels(pictures):
    html = pictures["egg_bench"]._repr_html_()
    stored = figures.without_pictures(html)
    assert len(html) > 50_000 and 'src="data:image/png;base64,"' in stored
    assert len(stored) < 10_000
    assert pictures["egg_bench"].words_html() in stored and pictures["egg_bench"].alt in stored


def test_stored_text_is_the_same_when_numbers_differ_below_what_is_shown(pictures):
    nudged = {name: curve + 1e-9 for name, curve in CURVES.items()}
    again = figures.cooking_day(TIMES, nudged, POWERS, marks=MARKS)
    assert figures.without_pictures(again._repr_html_()) == figures.without_pictures(
        pictures["cooking_day"]._repr_html_()
    )


def test_stored_text_differs_when_a_number_differs(pictures):
    warmer = {name: curve + 1.0 for name, curve in CURVES.items()}
    again = figures.cooking_day(TIMES, warmer, POWERS, marks=MARKS)
    assert again.words_html() != pictures["cooking_day"].words_html()


def test_table_writes_as_few_decimals_as_a_column_needs():
    table = pd.DataFrame(
        {"n": [1.0, np.nan, -0.0], "x": [0.5, 1.25, 2.0], "ok": [True, False, True], "s": list("<b>")}
    )
    html = _picture.table_html(table)
    assert "<td>1</td><td>0.50</td><td>yes</td><td>&lt;</td>" in html
    assert "<td>–</td><td>1.25</td><td>no</td>" in html and "<td>0</td>" in html


def test_fahrenheit_stands_beside_celsius():
    table = figures.temperatures(TIMES, {"water": np.linspace(0.0, 100.0, len(TIMES))}).table
    assert list(table["water (°F)"].iloc[[0, -1]]) == [32.0, 212.0]


# --- drawings ---------------------


@pytest.mark.parametrize("name", NAMES)
def test_nothing_drawn_is_cut_off(pictures, name):
    figure = pictures[name].figure
    pictures[name].png()
    box = figure.get_tightbbox()
    width, height = figure.get_size_inches()
    assert box.x0 >= -0.01 and box.y0 >= -0.01 and box.x1 <= width + 0.01 and box.y1 <= height + 0.01, box


@pytest.mark.parametrize("name", NAMES)
def test_plots_have_grid_lines_and_named_axes(pictures, name):
    for axes in pictures[name].figure.axes:
        if (
            not axes.axison or name == "sayings"
        ):  # each row of the sayings has a scale of its own: no common grid
            continue
        lines = axes.get_xgridlines() + axes.get_ygridlines()
        assert any(line.get_visible() for line in lines), name
        assert axes.get_ylabel() or [text.get_text() for text in axes.get_yticklabels()]


def test_one_clock_for_a_day_that_changes_to_summer_time():
    times = pd.date_range("2025-03-30 00:00", periods=60, freq="10min", tz="Europe/Athens")
    picture = figures.temperatures(times, {"air": np.linspace(10.0, 20.0, 60)})
    assert list(picture.table["local clock"].iloc[[0, -1]]) == ["00:00", f"{times[-1]:%H:%M}"]


def test_the_sun_is_placed_north_up_and_east_right():
    picture = figures.sun_path({"southern summer": day_of_sun(-35.0, -23.4)})
    path = picture.figure.axes[0].lines[2]  # after the two lines of the compass cross
    x, y = path.get_data()
    up = np.isfinite(x)
    assert x[up][0] > 0 > x[up][-1], "rises in the east, sets in the west"
    assert "in the north" in picture.alt and y[len(y) // 2] > 0


def test_polar_night_is_said_and_not_drawn():
    picture = figures.sun_path({"midwinter": day_of_sun(80.0, -23.4)})
    assert "does not rise" in picture.alt


def test_the_cut_egg_is_weighed_by_volume():
    """Only the outer half of the radius set: 7/8 of the volume."""
    radius = np.linspace(0.0005, 0.02, 40)
    picture = figures.egg_section(radius, radius > 0.01, np.zeros(40, bool))
    assert "the white is 88 % set (0 % at its innermost)" in picture.alt


def test_half_set_ring_stands_where_the_state_crosses_one_half():
    radius = np.linspace(0.001, 0.02, 20)
    yolk = radius < 0.0125
    state = np.where(yolk, radius > 0.006, radius > 0.016)
    found = _drawing.half_set_radii(radius, state.astype(float), yolk)
    assert found == pytest.approx([0.016, 0.006], abs=1e-9)


def test_sayings_agree_where_ranges_meet():
    rows = [
        ("meets at an edge", "h", 1, 2, 2, 3, 4),
        ("misses", "h", 1, 1.9, 2, 3, 4),
        ("open above", "h", 3, np.inf, 2, 3, 4),
        ("open below", "h", -np.inf, 1, 2, 3, 4),
    ]
    assert list(figures.sayings(rows).table["agree"]) == [True, False, True, False]


# --- one clear sentence for bad input ---------------------


@pytest.mark.parametrize(
    ("draw", "sentence"),
    [
        (lambda: figures.temperatures(TIMES.tz_localize(None), CURVES), "time zone"),
        (lambda: figures.temperatures(TIMES, {}), "at least one named curve"),
        (lambda: figures.temperatures(TIMES, {"a": [1.0, 2.0]}), "one value for each"),
        (lambda: figures.temperatures(TIMES, {"a": np.full(len(TIMES), np.nan)}), "holds no numbers"),
        (lambda: figures.temperatures(TIMES, {str(i): OVEN for i in range(7)}), "at most 6 curves"),
        (lambda: figures.ledger(5e6, {"walls": 4e6}), "does not close"),
        (lambda: figures.ledger(0.0, {"walls": 0.0}), "above zero"),
        (lambda: figures.egg_section(RADIUS, SET[:-1], YOLK), "each of two or more shells"),
        (lambda: figures.egg_section(RADIUS, SET + 1, YOLK), "between 0"),
        (lambda: figures.egg_section(RADIUS[::-1], SET, YOLK), "centre outwards"),
        (lambda: figures.clocks([("a", TIMES[0], TIMES[1], "safe", "")]), "Unknown state 'safe'"),
        (lambda: figures.clocks([]), "at least one clock"),
        (lambda: figures.sayings([]), "at least one saying"),
        (lambda: figures.sun_path({}), "at least one named day"),
        (lambda: figures.calibration([], [], []), "for each level"),
    ],
)
def test_bad_input_is_one_clear_sentence(draw, sentence):
    with pytest.raises(ValueError, match=sentence) as error:
        draw()
    assert "\n" not in str(error.value)


def test_gaps_are_left_open():
    gappy = OVEN.copy()
    gappy[:10] = np.nan
    gappy[30:40] = np.nan
    picture = figures.temperatures(TIMES, {"oven air": gappy})
    assert "–" in picture.words_html() and "nan" not in picture.alt


@pytest.mark.parametrize("name", NAMES)
def test_everything_written_stands_out_from_the_page(pictures, name):
    """WCAG 2.1, 1.4.3: text 4.5:1."""
    for text in pictures[name].figure.findobj(Text):
        if text.get_text().strip():
            assert contrast(_picture.BLACK if text.get_color() == "black" else text.get_color()) >= 4.5
