"""Moderation: second marking, agreement, amendment and signing, with a history that nothing is taken out of."""
