"""What to cook when: a menu's order with its chance of being ready, and what a year of days allows.

`kitchen` cooks many drawn days at once, `chance` draws them, `site` knows the skyline, wind and tilt of where
the oven stands, `search` finds the order and start, `year` counts every start of a year.
"""

from .kitchen import Dish, clock, minutes_of
from .search import Could, Job, Plan, plan

__all__ = ["Could", "Dish", "Job", "Plan", "clock", "minutes_of", "plan"]
