"""The engine a second time, written from docs/engine.md and the rule-set files alone.

It shares no code with the product: its own reader of quantities, its own reading of the files,
naive and slow. `python -m tests.second_engine` holds the product's answers against its own.
"""
