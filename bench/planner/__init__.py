"""Seeded synthetic houses and what the year planner makes of them."""
