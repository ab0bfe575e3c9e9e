"""What to cook when: a menu's order with its chance of being ready, and what a year of days allows.

`kitchen` cooks many drawn days at once, `chance` draws them, `site` knows the skyline, wind and tilt of where
the oven stands, `meal` is a plan and its jobs, `search` finds their order and start, `year` counts every
start of a year.
"""

from ..dates import clock
from .kitchen import Dish, minutes_of
from .meal import Could, Job, Plan
from .search import plan

__all__ = ["Could", "Dish", "Job", "Plan", "clock", "minutes_of", "plan"]
