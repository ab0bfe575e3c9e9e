"""Names and numbers that the compiled network shares with what feeds and reads it.

No numba in here: its import costs a quarter of a second, which only a cook should pay.
"""

from __future__ import annotations

import zlib
from pathlib import Path

import numpy as np

STATES = ("inner_glazing", "outer_glazing", "cavity", "pot", "liquid", "water", "vapour", "film")
INNER, OUTER, CAVITY, POT, LIQUID, WATER, VAPOUR, FILM = range(8)
SURFACE = 8  # heat into the outermost shell of one body, W
LEDGER = ("absorbed", "wind", "sky", "walls", "venting", "lid_openings", "moisture_heat", "moisture")
ABSORBED, WIND, SKY, WALLS, VENTING, OPENINGS, MOISTURE_HEAT, MOISTURE = range(9, 17)
ROWS = 17

#: Of the aperture's tilt: its cosine and sine, and sin^1.6(1.8 tilt) for Hollands' correlation.
FORCING = ("into_cavity", "into_glazing", "air", "sky", "wind", "open", "cosine", "sine", "stability")

# numba keeps compiled code while the file of the outermost function is unchanged; it never looks at the files
# it calls.  A field named after all three makes any change of them a change of type, compiled anew.
_FILES = ("_states.py", "_network.py", "_march.py")
_SOURCES = b"".join(Path(__file__).with_name(name).read_bytes() for name in _FILES)
_EDITION = f"edition_{zlib.crc32(_SOURCES):08x}"

#: One scenario's constants in SI units, built by _scenario.py, which says what each is.
PARAMETERS = np.dtype(
    [
        (name, float)
        for name in (
            "aperture", "sheets", "glass_capacity", "glass_emittance", "sheet_exchange",
            "cavity_exchange", "gap", "cavity_depth", "cavity_capacity", "wall_loss", "volume",
            "leakage", "pressure", "buoyancy", "boiling_point", "ambient_vapour", "escape",
            "tray_absorptance", "pot_capacity", "pot_area", "pot_base", "pot_diameter",
            "pot_exchange", "pot_contact", "pot_top", "pot_side", "pot_absorptance",
            "pot_window", "pot_wet", "lid", "liquid_capacity", "water_start", "liquid_area",
            "bodies", "body_area", "body_free", "body_contact", "body_in_liquid", "body_in_pot",
            "body_open", "body_exchange", "body_wetness", "body_water", "body_size", "food_plan",
            "food_absorptance", _EDITION,
        )
    ]
)  # fmt: skip

VAPOUR_GAS = 461.5  # J/(kg K)
WATER_HEAT = 4186.0  # J/(kg K)
VAPOUR_ENTHALPY = 2.501e6  # J/kg at 0 °C, above liquid water at 0 °C
VAPOUR_HEAT = 1740.0  # J/(kg K): with the line above, within 0.2 % of the steam tables over 0–100 °C


def tilt_terms(tilt):
    """Cosine and sine of ``tilt`` [°] and the stability term of the gap, held at 75° beyond it."""
    slope = np.radians(np.asarray(tilt, float))
    return np.cos(slope), np.sin(slope), np.sin(1.8 * np.minimum(slope, np.radians(75.0))) ** 1.6
