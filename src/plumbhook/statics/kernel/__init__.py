"""One kernel for the elastic equilibrium, interpreted or compiled, for one rig or a batch of its samples."""

from plumbhook.statics.kernel.batch import BatchResult, BatchSamples, solve_batch
from plumbhook.statics.kernel.forms import kernel_form

__all__ = ["BatchResult", "BatchSamples", "kernel_form", "solve_batch"]
