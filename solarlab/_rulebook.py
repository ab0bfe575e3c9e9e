"""The rules of food safety and the cautions as data: each with its words, its source and its mark.

Marks: "seen" read in a public document, "lib" computed, "memory" recalled and to be rechecked, "practice" the
trade's common practice without a source.  Local food-safety rules and licensed authorities come before all
these.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from ._limits import suggest

# The clocks that run for whatever spoils: raw meat, fish, eggs, leftovers, and dry goods once they are wet.
PERISHABLE = ("standing", "come_up", "loss_of_sun", "cooling")
# °C at loading.  Raw meat and fish keep at 5 °C or below (WHO Five Keys); 5 K are left for the walk and the
# thermometer.  No shade is warmer than 40 °C: what is has been heated.  Both limits: practice, no source.
CHILLED, HEATED = 10.0, 40.0
LOWEST_LECTIN_BOIL = 98.0  # °C: the published minutes are for a boil near sea level
BOILS = (60.0, 130.0, "°C")  # boiling points from far above any village to a pressure cooker's


@dataclass(frozen=True)
class Lethality:
    """Decimal reduction: ``minutes`` at ``reference`` [°C] kill nine in ten; a tenth of them ``z`` K above.

    Counted in moist, covered food only, and only from ``lowest`` [°C], the coolest temperature published;
    ``at_once`` [°C] passes without a wait.
    """

    organism: str
    minutes: float
    reference: float
    z: float
    lowest: float
    at_once: float
    source: str
    mark: str


@dataclass(frozen=True)
class SafetyRule:
    """One rule.  ``kind``: "target", "boil", "clock", "refusal" or "caution".

    A target wants ``temperature`` [°C] at the coldest point for ``minutes`` (0: reached).  ``clocks`` are
    those that run for a food under this rule.  Food that comes in warmer than ``kept_below`` [°C] has a past,
    and gets no verdict until somebody says how long it stood.
    """

    key: str
    kind: str
    text: str
    source: str
    mark: str
    temperature: float = float("nan")
    minutes: float = 0.0
    clocks: tuple[str, ...] = ()
    lethality: Lethality | None = None
    kept_below: float = float("inf")


_FSIS = "USDA FSIS safe minimum internal temperatures"
_FIVE_KEYS = "WHO, Five Keys to Safer Food: 70 °C throughout; 5-60 °C is the danger zone"
CHICKEN_SALMONELLA = Lethality(
    "Salmonella, chicken with 12 % fat",
    5.1,
    60.0,
    6.4,
    57.7,
    73.9,
    "fitted to FSIS Appendix A, 7-log rows 136, 140 and 144 °F",
    "seen",
)
LISTERIA = Lethality(
    "Listeria monocytogenes, chilled foods",
    1 / 3,
    70.0,
    7.5,
    60.0,
    80.0,
    "UK ACMSF: 70 °C for 2 min gives 6 log; z 7.5 K",
    "memory",
)


_RAW = ("poultry", "ground_meat", "whole_cut", "fish")


def _target(key, text, source, mark, temperature, minutes=0.0, clocks=(), lethality=None):
    kept_below = CHILLED if key in _RAW else HEATED if clocks else float("inf")
    return SafetyRule(key, "target", text, source, mark, temperature, minutes, clocks, lethality, kept_below)


def _clock(key, text, source, mark):
    return SafetyRule(key, "clock", text, source, mark)


def _refusal(key, text, source, mark):
    return SafetyRule(key, "refusal", text, source, mark)


def _caution(key, text, source="common practice, no source", mark="practice"):
    return SafetyRule(key, "caution", text, source, mark)


_ALL = (
    _target(
        "poultry",
        "Poultry: 74 °C (165 °F) at the coldest point, deep by the bone.",
        _FSIS,
        "seen",
        73.9,
        0.0,
        PERISHABLE,
        CHICKEN_SALMONELLA,
    ),
    _target(
        "ground_meat",
        "Ground meat: 71 °C (160 °F) in the middle.",
        _FSIS,
        "memory",
        71.1,
        0.0,
        PERISHABLE,
        LISTERIA,
    ),
    _target(
        "whole_cut",
        "Whole cuts: 63 °C (145 °F) in the middle, then 3 minutes' rest.",
        _FSIS,
        "memory",
        62.8,
        3.0,
        PERISHABLE,
        LISTERIA,
    ),
    _target(
        "reheated",
        "Soups, stews and leftovers: 74 °C (165 °F) all through.",
        _FSIS,
        "memory",
        73.9,
        0.0,
        PERISHABLE,
        LISTERIA,
    ),
    _target("fish", "Fish: 63 °C (145 °F) in the middle.", _FSIS, "memory", 62.8, 0.0, PERISHABLE, LISTERIA),
    _target(
        "egg",
        "Eggs: 71 °C (160 °F) in the middle of the yolk; softer is the eater's risk.",
        _FSIS,
        "memory",
        71.1,
        0.0,
        PERISHABLE,
    ),
    _target(
        "starch_held_warm",
        "Rice, pasta, porridge, roots: 70 °C all through; then eat, or keep above 60 °C: spores of "
        "Bacillus cereus survive cooking.",
        _FIVE_KEYS,
        "seen",
        70.0,
        0.0,
        PERISHABLE,
    ),
    _target(
        "bean",
        "Lentils and split pulses: boiling-soft and 70 °C all through; then eat, or keep above 60 °C.",
        _FIVE_KEYS,
        "seen",
        70.0,
        0.0,
        PERISHABLE,
    ),
    _target(
        "bread",
        "Bread and cake: 70 °C all through, as raw flour is not clean; a set crumb is hotter.",
        _FIVE_KEYS,
        "seen",
        70.0,
    ),
    _target(
        "water",
        "Drinking water: 70 °C, wherever it is read.  It does not clear mud or chemicals.",
        "solar water pasteurisation, with 5 K in hand for water that is not mixed",
        "memory",
        70.0,
    ),
    _target(
        "water_mixed",
        "Drinking water that is stirred, or read at the bottom: 65 °C for 6 minutes.  It does not clear "
        "mud or chemicals.",
        "solar water pasteurisation, 65 °C for 6 min",
        "seen",
        65.0,
        6.0,
    ),
    SafetyRule(
        "kidney_bean",
        "boil",
        "Kidney beans, and their kin black, white and pinto: soak overnight, throw that water away, then 30 "
        "minutes at a full boil in fresh water.  Warm but not boiling makes their lectin worse.",
        "US FDA, Bad Bug Book, phytohaemagglutinin",
        "memory",
        0.0,
        30.0,
        PERISHABLE,
        kept_below=HEATED,
    ),
    _clock(
        "standing",
        "Food stands unrefrigerated 2 h at most, 1 h above 32 °C, before it cooks.",
        "USDA FSIS two-hour rule",
        "memory",
    ),
    _clock(
        "come_up",
        "Food may take 2 h from 5 to 60 °C; over 4 h it is thrown away, for toxins outlast any later heat.",
        "WHO Five Keys 5-60 °C and FDA Food Code 41-135 °F (seen); 2 h and 4 h: FSANZ 2-hour/4-hour "
        "rule (from memory)",
        "seen",
    ),
    _clock(
        "loss_of_sun",
        "Food that falls below 60 °C before it is done is back on that clock: 2 h, then 4 h.",
        "as come-up",
        "memory",
    ),
    _clock(
        "total",
        "Standing, come-up and loss of sun add up: 2 h and 4 h hold for their sum.",
        "FSANZ 2-hour/4-hour rule, cumulative",
        "memory",
    ),
    _clock(
        "cooling",
        "Cooked food below 60 °C: eat within 2 h or chill it; over 4 h, throw it away.",
        "FSANZ 2-hour/4-hour rule; FDA Food Code: 57 to 21 °C within 2 h",
        "memory",
    ),
    _refusal(
        "frozen",
        "Frozen food is not thawed in the oven: its outside is warm for hours while its middle is ice."
        "  Thaw it in the cold first, wholly.",
        "USDA FSIS, The Big Thaw",
        "memory",
    ),
    _refusal(
        "half_cooked",
        "Half-cooked food is not kept for tomorrow: finish it now or throw it away.",
        "USDA FSIS: never partially cook and refrigerate",
        "memory",
    ),
    _refusal(
        "cassava",
        "Bitter cassava needs its traditional peeling, soaking or grating and drying: heat alone leaves"
        " its cyanide.",
        "WHO/FAO, cyanogenic glycosides in cassava",
        "memory",
    ),
    _refusal(
        "canning",
        "Home canning of low-acid food needs 121 °C under pressure; a box oven cannot give it, and "
        "botulism follows.",
        "USDA Complete Guide to Home Canning",
        "seen",
    ),
    _refusal(
        "holding",
        "Cooked food is not held below 60 °C: spores that survived wake and grow.",
        "FDA Food Code 3-501.16: 57 °C; WHO Five Keys: 60 °C",
        "seen",
    ),
    _caution(
        "authorities",
        "Local food-safety rules and licensed authorities come first.",
        "this course",
        "practice",
    ),
    _caution(
        "soft_egg",
        "A yolk below 71 °C (160 °F) may carry Salmonella: not for the very young, the old, the "
        "pregnant or the sick.",
        _FSIS,
        "memory",
    ),
    _caution(
        "spores",
        "Spores survive cooking: cooked food held warm is not safe food.",
        "B. cereus, C. perfringens: common food microbiology",
        "memory",
    ),
    _caution(
        "glass_burns",
        "The glass burns: it is hotter than a hand can bear, and looks cold.",
        "contact burns from about 60 °C (ISO 13732-1)",
        "memory",
    ),
    _caution("steam", "Open away from your face and let the steam out first; the pot burns: dry gloves."),
    _caution("cracked_glass", "Cracked glass: stop, throw open food away, do not bake under it."),
    _caution("glare", "Never look into the mirrors; stand behind the oven, wear sunglasses, shade faces."),
    _caution(
        "fire",
        "Never leave mirrors open to the sun unattended: they can light dry things. Cover or turn them away.",
    ),
    _caution("wind", "Wind throws mirrors and lids: tie or weigh the oven, close it in gusts."),
    _caution("children", "Children learn at arm's length: an adult opens, lifts and serves."),
    _caution("paint_fumes", "Paint: only what is made for heat and dry for days; its fumes reach food."),
    _caution("galvanised", "No galvanised metal where it heats or touches food: zinc comes off."),
    _caution("foam", "No plastic foam against hot walls: it melts, smokes and burns."),
    _caution(
        "lead_glaze",
        "No pots of unknown glaze: lead goes into sour food.",
        "WHO, lead poisoning",
        "memory",
    ),
    _caution("burn_in", "First heat a new oven empty for a whole clear day, aired: smells must be gone."),
)
RULES: Mapping[str, SafetyRule] = MappingProxyType({rule.key: rule for rule in _ALL})


def rule(key: str | SafetyRule) -> SafetyRule:
    """The safety rule called ``key``; an unknown key is a ``ValueError`` that names the nearest."""
    if isinstance(key, SafetyRule):
        return key
    name = str(key).strip().replace(" ", "_")
    if name not in RULES:
        raise ValueError(f"no safety rule is called {key!r}; {suggest(name, RULES, 'see safety.RULES')}")
    return RULES[name]


def rules_of(keys) -> list[SafetyRule]:
    """The rules of these keys; one key alone will do."""
    return [rule(key) for key in ([keys] if isinstance(keys, (str, SafetyRule)) else keys or ())]
