"""What repeated measurements can and cannot claim: pure functions of numbers."""
