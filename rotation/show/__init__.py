"""A plan put before people and programs: day by day, cost by term, the freezer over time, JSON and its schema."""
