"""What there is to look at in each planting beside cutworm: rules on dated facts, each with its window."""

from springwalk.jobs.looks.every import looks_of_field
from springwalk.jobs.looks.facts import FieldFacts, Given, Sown, field_facts
from springwalk.jobs.looks.pest_looks import watched
from springwalk.jobs.looks.standing import standing

__all__ = ["FieldFacts", "Given", "Sown", "field_facts", "looks_of_field", "standing", "watched"]
