"""What each sheet of the lift plan says, as plain data for the template: texts are formatted here, laid out there."""
