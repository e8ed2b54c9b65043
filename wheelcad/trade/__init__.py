"""Formulas and tables of the trade, one module a subject, each function naming its source. Knows nothing of jobs."""
