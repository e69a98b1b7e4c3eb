"""Place kept for the register of equipment, bookings, lifts and people."""
