"""A measured oven: a logger's CSV in; standard cooking power, figures of merit and a fitted oven out.

`read_log` reads the file.  `standard_power` and `measured_merit` follow the two standards; `fit_oven` finds
what the oven takes in and loses, as an `Oven` like any other; `what_to_improve` and `compare` say what to do
about it.  `measure` does it all.  Every result prints as plain sentences.
"""

from .command import main
from .estimate import Comparison, Estimate, compare
from .fit import Fit, Run, fit_oven
from .improve import first_step, what_to_improve
from .light import clock_error, light_facing, sky_of
from .logger import Log, read_log
from .merit import (
    FiguresOfMerit,
    first_figure,
    grade,
    heating_time,
    measured_merit,
    modelled_merit,
    second_figure,
    stagnation_from,
)
from .report import Report, invented_runs, measure
from .standard import StandardPower, intercept_area, regress, standard_power, standardised

__all__ = [
    "Comparison", "Estimate", "FiguresOfMerit", "Fit", "Log", "Report", "Run", "StandardPower", "clock_error",
    "compare", "first_figure", "first_step", "fit_oven", "grade", "heating_time", "intercept_area",
    "invented_runs", "light_facing", "main", "measure", "measured_merit", "modelled_merit", "read_log",
    "regress", "second_figure", "sky_of", "stagnation_from", "standard_power", "standardised",
    "what_to_improve",
]  # fmt: skip
