"""The desk: where the stages are asked, for a job file, for the pages, and for a record that is computed again."""
