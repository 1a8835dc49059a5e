"""The rules behind `scheduler.checker`: standard library only, nothing of the project.

clock      instants as ticks, sets of spans, times as a planner reads them
fields     what a plan file holds
shape      is every field there and of its type
document   the plan file as look-up tables, once its shape and references hold
work       duration, calendar, crew, skills and presence of people
waits      cures, bond windows and other waits; work that must be alone in a part
resources  molds, places, stations, people in two places at once
limits     boats between two operations
setups     changes of color at a station
slots      starts in a slot
services   molds serviced after so many pulls
given      done, started, frozen and locked work; moves inside the frozen window
score      finishes, tardy days, proposed dates, levels and bounds
"""
