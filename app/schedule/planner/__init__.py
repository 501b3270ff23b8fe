"""The planner: one process for each database that keeps the forecast up to date and looks for a better order of work.

``serve`` starts it with ``start``. It is a process of its own, so that computing never slows a page down.
"""

from app.schedule.planner.compiling import compiling_beside
from app.schedule.planner.process import COMPUTE_EVERY, Planner, run, start, wake_safely
from app.schedule.planner.searching import Searching

__all__ = ["COMPUTE_EVERY", "Planner", "Searching", "compiling_beside", "run", "start", "wake_safely"]
