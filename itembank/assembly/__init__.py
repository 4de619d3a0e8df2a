"""Test forms from a bank: what a blueprint asks for, and parallel forms that hold it, by integer programme."""
