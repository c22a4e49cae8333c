"""An invented club with its tracks, cars and a season of runs, to try the app on.

Every name, number and picture is made up for this purpose; the times are computed by the
coasting model with scatter drawn from a seed.
"""
