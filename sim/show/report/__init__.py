"""What a comparison is written and printed as: table, CSV files, record, all or nothing."""
