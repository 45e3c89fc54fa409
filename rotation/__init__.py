"""Plans a family's bread from its calendars: bakes, thaws, finishes, and the freezer between them."""
