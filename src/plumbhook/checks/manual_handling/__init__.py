"""Lifting and pushing by hand: the weight a person may be asked to move."""
