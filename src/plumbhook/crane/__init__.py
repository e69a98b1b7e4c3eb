"""Chart, headroom, hook seat, ground, wind and load cell: pure computation of the place of a lift."""
