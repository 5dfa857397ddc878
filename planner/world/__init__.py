"""What happens to the business by itself, drawn whole before a run."""
