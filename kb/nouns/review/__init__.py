"""The owner's values: the report on reflashes and the alarms in it."""
