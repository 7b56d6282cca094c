"""A dive by its marks: times, depths, the schedule in force, stops and when they are due. Pure rules.

Depths are in the unit of the tables in use; moments are UTC to the millisecond; a figure in whole seconds
or minutes is rounded to the safe side, and its function says which side that is.
"""
