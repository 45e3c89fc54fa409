"""A rehearsal: a household lives through weeks of its calendars, by rules of thumb or by the planner."""
