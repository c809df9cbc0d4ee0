"""Truths that the forecaster does not assume, and what it makes of them: calibration, decisions, accuracy, speed."""
