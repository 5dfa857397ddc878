"""What the user writes, read strictly: validated, frozen models with file positions and units."""
