// nest_one.h - one instance of the literature, its best layout written as JSON; or a folder of instances of sheets, as a table.
#ifndef PM_BENCH_NEST_ONE_H
#define PM_BENCH_NEST_ONE_H

int nest_one(int argc, char **argv);    // exit code
int nest_folder(int argc, char **argv); // likewise

#endif
