"""Place kept for the desk in the browser and its API."""
