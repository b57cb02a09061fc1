# For those who have make; ./dev does the work and explains itself.
run test check format lock:
	./dev $@

.PHONY: run test check format lock
