"""What the kinds of report in `inspections/reports/kinds/` tell: one builder each."""
