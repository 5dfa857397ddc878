"""Where runs are executed: this process or local worker processes."""
