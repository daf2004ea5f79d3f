"""Papers, marking, gradebook glue and reports: from a record to a mark that says why."""
