"""What a person touches in a notebook: the bench, the drawn circuit, the meter and the plots."""
