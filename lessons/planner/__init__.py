"""Who is where, when, and with whom: squads and a timetable for one school.

The core is a 0-1 model over (squad, visit, day, slot) with a bay and an instructor for each
visit, solved by CP-SAT. Data classes go in and come out; it reads no database and no clock
but the solver's limit. It refuses to place half a school: every squad gets every visit, or the
answer is the rules that cannot hold together.
"""

PLANNER_VERSION = "2"
