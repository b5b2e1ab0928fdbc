"""Pure: from project, journal and air to a dated plan.

``make.make_plan`` is the one door: a ``request.PlanRequest`` in, a ``plan.Plan`` out.
"""
