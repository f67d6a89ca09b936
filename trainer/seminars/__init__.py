"""A club's education seminars: before, in the room, after.

models/ seminars, attendees, sittings, papers | services.py what changes a seminar and who comes
sittings.py what changes a sitting | hours.py who was there how long (pure)
"""
