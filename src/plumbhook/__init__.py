"""Plan and check lifts with modular spreader beams."""
