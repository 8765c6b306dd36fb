"""Small deliberate mistakes in a room, and whether its tests notice; DEVELOPERS.md has the command.

It wants mutmut and coverage, in an environment of their own that borrows ours.
"""
