"""Panel -> Amounts: the order of work, thread, canvas, fit, time and cost."""
