"""Reports: what a candidate asked for, did, proved and missed; how a class and its items did."""
