"""The year planner: a house of plans and half-days in, a year of tasks out. Pure.

`house` says what goes in and what comes out; `solve.plan_year` plans; `evaluate` judges a plan
from the house alone and shares no code with what made it.
"""
