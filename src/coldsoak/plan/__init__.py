"""Plan: what comes off, in what order, with which tools, parts, time and price."""

from coldsoak.plan.conditions import Conditions
from coldsoak.plan.make import make_plan
from coldsoak.plan.value import Plan

__all__ = ["Conditions", "Plan", "make_plan"]
