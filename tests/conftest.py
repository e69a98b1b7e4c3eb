"""Settings shared by all tests."""

from __future__ import annotations

import os

from hypothesis import HealthCheck, settings

# Machines that run the tests differ in speed; a slow one is no failure. The thorough tier tries more examples of a law.
COMMON = {"deadline": None, "suppress_health_check": [HealthCheck.too_slow]}
settings.register_profile("quick", max_examples=60, **COMMON)
settings.register_profile("thorough", max_examples=200, **COMMON)
settings.load_profile(os.environ.get("PLUMBHOOK_TESTS", "quick"))
