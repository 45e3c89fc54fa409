"""The rules of a plan, one file each with its two halves: what it adds to the model, and what it finds broken."""
