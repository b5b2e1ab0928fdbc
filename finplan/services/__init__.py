"""Use cases: one function each; the only place that joins the rooms below."""
