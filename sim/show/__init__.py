"""What people see: pictures, tables, files."""
