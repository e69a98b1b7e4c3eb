"""Settings shared by all tests."""

from __future__ import annotations

from hypothesis import HealthCheck, settings

# Machines that run the tests differ in speed; a slow one is no failure.
settings.register_profile("plumbhook", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("plumbhook")
