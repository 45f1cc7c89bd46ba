// nest_one.h - one instance of the literature, its best layout written as JSON.
#ifndef PM_BENCH_NEST_ONE_H
#define PM_BENCH_NEST_ONE_H

int nest_one(int argc, char **argv);    // exit code

#endif
