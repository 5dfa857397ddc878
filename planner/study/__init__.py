"""Many runs made into paired differences, intervals and findings."""
