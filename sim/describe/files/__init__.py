"""Reading what people wrote: the only place that knows YAML."""
