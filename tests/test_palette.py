"""The palette: seen on white paper, in grey, and by colour-blind eyes."""

import itertools

import numpy as np
import pytest

from solarlab import _drawing, _picture


def linear(colour):
    """sRGB to linear light, the standard curve (IEC 61966-2-1; WCAG 2.1 prints the same)."""
    value = np.array([int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)])
    return np.where(value <= 0.04045, value / 12.92, ((value + 0.055) / 1.055) ** 2.4)


def luminance(rgb):
    return float(rgb @ [0.2126, 0.7152, 0.0722])


def contrast(a, b="#FFFFFF"):
    """WCAG 2.1 contrast ratio."""
    low, high = sorted((luminance(linear(a)), luminance(linear(b))))
    return (high + 0.05) / (low + 0.05)


def lightness(rgb):
    """CIE L*, 0 black to 100 white."""
    y = luminance(rgb)
    return 116 * np.cbrt(y) - 16 if y > 0.008856 else 903.3 * y


def lab(rgb):
    xyz = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]]) @ rgb
    f = [np.cbrt(v) if v > 0.008856 else 7.787 * v + 16 / 116 for v in xyz / [0.95047, 1.0, 1.08883]]
    return np.array([116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])])


# Machado, Oliveira and Fernandes 2009, doi:10.1109/TVCG.2009.113, severity 1.0, on linear sRGB [seen].
COLOUR_BLINDNESS = {
    "none": np.eye(3),
    "protan": [
        [0.152286, 1.052583, -0.204868],
        [0.114503, 0.786281, 0.099216],
        [-0.003882, -0.048116, 1.051998],
    ],
    "deutan": [
        [0.367322, 0.860646, -0.227968],
        [0.280085, 0.672501, 0.047413],
        [-0.011820, 0.042940, 0.968881],
    ],
    "tritan": [
        [1.255528, -0.076749, -0.178779],
        [-0.078411, 0.930809, 0.147602],
        [0.004733, 0.691367, 0.303900],
    ],
}


def seen(colour, eyes):
    return np.clip(np.array(COLOUR_BLINDNESS[eyes]) @ linear(colour), 0, 1)


def test_contrast_formula_on_known_pairs():
    """Black on white is 21:1 by definition; #767676 is the known lightest grey above 4.5:1 [memory]."""
    assert contrast("#000000") == pytest.approx(21.0)
    assert contrast("#767676") == pytest.approx(4.54, abs=0.01)


def test_lines_stand_out_from_the_page():
    """WCAG 2.1, 1.4.11: graphics 3:1."""
    assert min(contrast(style.colour) for style in _picture.LINES) >= 3.0


def test_lines_differ_without_any_colour():
    """In grey, dashes and markers alone tell every pair apart."""
    shapes = [(str(style.dashes), style.marker) for style in _picture.LINES]
    assert len(set(shapes)) == len(shapes)


@pytest.mark.parametrize("eyes", COLOUR_BLINDNESS)
def test_line_colours_differ_for_every_kind_of_eyes(eyes):
    """CIE 1976 difference of at least 10 (2.3 is just noticeable) between any two colours used for lines."""
    colours = sorted({style.colour for style in _picture.LINES})
    apart = {pair: np.linalg.norm(lab(seen(pair[0], eyes)) - lab(seen(pair[1], eyes)))
             for pair in itertools.combinations(colours, 2)}  # fmt: skip
    assert min(apart.values()) >= 10.0, apart


@pytest.mark.parametrize("eyes", COLOUR_BLINDNESS)
@pytest.mark.parametrize("scale", [_drawing.WHITE_STATES, _drawing.YOLK_STATES])
def test_setting_grows_steadily_lighter_for_every_kind_of_eyes(scale, eyes):
    hexes = ["#" + "".join(f"{round(255 * v):02x}" for v in scale(x)[:3]) for x in np.linspace(0, 1, 9)]
    steps = np.diff([lightness(seen(colour, eyes)) for colour in hexes])
    assert (steps > 1.0).all()


def test_states_of_a_clock_differ_in_grey():
    """Hatching differs for all, and the fills' lightness for all but the two palest."""
    assert len({hatch for _, hatch in _drawing.STATES.values()}) == len(_drawing.STATES)
    grey = sorted(lightness(linear(colour)) for colour, _ in _drawing.STATES.values())
    assert min(np.diff(grey)) > 1.0 and grey[1] - grey[0] > 10
