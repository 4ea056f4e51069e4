"""The search that goes through dearer plans to cheaper ones, compiled to machine code by Numba.

`arrays` writes a house as arrays, `room` says what fits and what it costs, `gaps` and `chains`
fill what a step took out, `steps` makes one step after the other, `search` is what the planner
uses. Only `search` is imported from outside.
"""
