"""What the calculators say that is not found in their texts, and what there is no sentence. Data only."""

from __future__ import annotations

# Modules that say nothing, or only to whoever develops.
NO_MODULES = frozenset(
    {"__init__.py", "registry.py", "svg.py", "drawing.py", "examples.py", "rope/tables.py"}
)
# Short forms of units, and names of rope constructions.
SIGNS = frozenset({"lbf", "deg", "kip", "psf", "fpm", "min", "mpa", "seale", "sfw", "fws", "sws"})
NO_WORDS = frozenset(
    {
        "\\s+(?:at|by|from|to)\\s+|\\s*@\\s*", "mass per length", "line load", "strength left", "least end",
        "relative life", "DGUV Vorschrift 17",
        # Pieces: what they are joined to is listed below.
        ": short by {1}.", "{1} against {2}, both below {3}", "by height; the mark on the arbor is not given.",
        "{1} against at most {2}", ", but the lift lines over the travel are not counted.",
        "− slots {1}", "{1} against {2} at most", "Heaviest line, {1}{2}", "One line {1}", "dead ends = {1}:",
        "weight = (length × width − slots) × thickness × density = ({1} × {2}{3}) × {4} × {5} = {6}",
        "to lay in = {1}(bar + fittings + load) − bare arbor = {2}({3} + {4} + {5}) − {6} = {7}",
        "out of balance at the bar = bar side − arbor side{1} = {2} − {3}{4} = {5}",
        "{1} against at most {2} on one line{3}.", "{1} Look at the places of loads and lines again.",
        "{1} A weight in {2} is read too.", "{1} to {2} against {3} {4}.", "within only if {1} {2} {3} {4} {5}",
        "The reading with its doubt, {1}: {2}.",
    }
)  # fmt: skip
# Joined sentences whole, finer pieces, and single words.
EXTRA = (
    "{1} against {2}, both below {3}.", "{1} against {2}, both below {3}: short by {4}.",
    "{1} against at most {2}.",
    "{1} against at most {2} by height; the mark on the arbor is not given.",
    "An arbor with {1} bricks and {2} spreader plates, the last on top.",
    "{1} against {2} at most, but the lift lines over the travel are not counted.",
    "weight = (length × width − slots) × thickness × density = ({1} × {2}) × {3} × {4} = {5}",
    "weight = (length × width − slots) × thickness × density = ({1} × {2} − slots {3}) × {4} × {5} = {6}",
    "to lay in = (bar + fittings + load) − bare arbor = ({1} + {2} + {3}) − {4} = {5}",
    "to lay in = 2 × (bar + fittings + load) − bare arbor = 2 × ({1} + {2} + {3}) − {4} = {5}",
    "out of balance at the bar = bar side − arbor side = {1} − {2} = {3}",
    "out of balance at the bar = bar side − arbor side ÷ 2 = {1} − {2} ÷ 2 = {3}",
    "{1} against at most {2} on one line.", "{1} against at most {2} on one line; the batten tips.",
    "Look at the places of loads and lines again.", "A weight in {1} is read too.",
    "{1} to {2} against {3} at most.", "{1} to {2} against {3} at least.",
    "{1} to {2} against {3} at most", "{1} to {2} against {3} at least", "within only if {1}",
    "Heaviest line, line {1} slack", "Heaviest line, line {1} short", "One line slack", "One line short",
    "0.40 × 0.15 × 0.025 m", "5000 N at 0.15 m, 40 to 1", "1 in 10", "1 in 12", "1 in 20", "7.5 in 11", "12 in 4",
    "dead ends = {1}", "“{1}” cannot be decided: {2} is missing.",
    "Load {1}", "Unload {1}", "layer {1}", "{1} apart", "{1} bricks", "The reading with its doubt, {1}: within.",
    "The reading with its doubt, {1}: beyond.", "The reading with its doubt, {1}: cannot be decided.",
    "deceleration", "stretch", "margin", "plate", "rise", "run", "slack", "anchor", "limit",
    "grade {1}", "{1} class", "extra improved plow steel", "improved plow steel", "fibre core", "steel core",
    "strand core", "{1} fibre core", "{1} steel core", "{1} strand core",
    "7x7 zinc-coated cable", "7x7 stainless cable", "7x19 zinc-coated cable", "7x19 stainless cable", "7x19 metric",
    "7x7 zinc-coated cable of {1}", "7x19 zinc-coated cable of {1}", "7x19 stainless cable of {1}",
    "Crane machinery group {1}, running rope", "Crane machinery group {1}, standing rope",
)  # fmt: skip
