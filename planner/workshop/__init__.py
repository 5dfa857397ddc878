"""What the owner does: one deterministic run of a scenario, an option and a world."""
