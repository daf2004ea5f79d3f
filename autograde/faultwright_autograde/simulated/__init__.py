"""Simulated students of habits good and bad: they show that marking tells habits apart, and nothing about people."""
