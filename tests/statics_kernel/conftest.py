"""The compiled form of the kernel, made once per machine where numba is installed."""

import logging

import pytest

from plumbhook.statics.kernel import forms


@pytest.fixture(scope="session")
def compiled():
    """Machine code of the kernel as it is now; compiles it if need be, which takes half a minute."""
    logging.getLogger("plumbhook.statics.kernel").setLevel(logging.ERROR)
    form = forms.ahead_of_time() or forms.just_in_time(compile_now=True)
    if form is None:
        pytest.skip("numba is not installed, so there is no compiled kernel to compare with")
    return form


@pytest.fixture
def interpreted():
    return forms.Interpreted()
