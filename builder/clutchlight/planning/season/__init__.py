"""The season desk's lists: males in rotation, readiness, what is due, holds, people to tell. Pure; the day is an argument."""
