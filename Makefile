# The front door. `make demo` shows what it does; `make check` proves that it works.
.PHONY: help demo check check-all bench clean

DEMO = nordersand-60in

help:
	@echo "make demo        install what building needs, build, make a kit from the demo picture"
	@echo "make check       install what testing needs, build with sanitizers, run every test"
	@echo "make check-all   the same with the slow tests and long fuzzing"
	@echo "make bench       print the numbers of docs/measurements.md anew"
	@echo "make clean       remove all build folders; kits stay"

# An existing folder is configured already; ninja does that again by itself when a meson.build changed.
build/build.ninja:
	meson setup build --wrap-mode=nodownload -Dtests=false

demo:
	@tools/setup build
	@$(MAKE) --no-print-directory build/build.ninja
	@ninja -C build
	@mkdir -p kits
	build/app/papermason build demo/nordersand.png --height 5ft --paper A=11x24 --paper letter -o kits/$(DEMO) --force
	@echo
	@echo "The kit is in kits/$(DEMO)."
	@echo "Open first:  kits/$(DEMO)/guide.pdf      what to buy, every sheet, every layer and every step"
	@echo "Then:        kits/$(DEMO)/key-plan.svg   the finished picture with its seams and piece numbers (any browser)"
	@echo "             kits/$(DEMO)/sheets         one file a sheet, for the software of your cutter; 00-test-... comes first"
	@echo "             kits/$(DEMO)/proof.txt      what was checked, in numbers"

check:
	@tools/setup all
	@tools/check

check-all:
	@tools/setup all
	@tools/check --all

bench:
	@tools/setup all
	@test -f build-bench/build.ninja || meson setup build-bench --wrap-mode=nodownload -Dbuildtype=release -Dtests=false -Dbench=true
	@ninja -C build-bench
	@tools/bench build-bench

clean:
	rm -rf build build-*
