// run.h - what the stages of one computation (answer.h) share, and how they take over, compute and report.
// Whoever adds a stage gives it a begin, a key from view.h, and either computes it here or as tasks.
#ifndef PM_JOB_RUN_H
#define PM_JOB_RUN_H

#include "job/answer.h"
#include "job/view.h"
#include "nest/mixed.h"
#include "seam/section.h"

typedef enum RunStage {
    STAGE_PICTURE, STAGE_COLOURS, STAGE_OUTLINES, STAGE_LAYERS, STAGE_SEAMS, STAGE_SHEETS, STAGE_FILES, STAGE_END
} RunStage;

typedef enum TaskKind { TASK_PIECES, TASK_MARKS, TASK_NEST, TASK_THIN, TASK_HINGES } TaskKind;

typedef struct Task {       // of a layer, of a paper, or of the whole stack
    TaskKind kind;
    int index;              // of the layer or the paper; 0 for the whole stack
    double weight;          // about how long it takes
    Kept *kept;
} Task;

typedef struct PaperUnit {
    NestItem *items;
    NestOptions options;
    NestKind *kinds;        // with offcuts: the paper and they; else NULL
    int kind_count;
} PaperUnit;

typedef struct Run {
    const Job *job;
    const AnswerOptions *options;
    Version *version;
    Job *out;
    Work work;
    Arena own;              // what no result refers to
    RunStage stage;
    Replay replay;
    Key outlines_key, stack_key;
    Paper *layer_papers;    // of each layer
    struct {
        SeamWishes *wishes;
        Rings details;          // small things in sight (seam/detail.h)
        SectionPlan sections;   // no lines: it does not part
        LayerForm *forms;
        Stack *views;
        SeamOptions *options;   // of each layer as usual, then of each as asked (fewer.h)
    } seams;
    struct {
        MarkView *views;
        MarkOptions *options;   // by layer
    } marks;
    struct {
        Offcut *offcuts;
        int offcut_count;
        PaperUnit *units;
    } sheets;
    struct {                    // results, this answer's or an earlier one's
        Kept **pieces, **marks, **nests;
        Kept *thin, *hinges;    // Findings; NULL in a first answer
        Kept *foam;             // Foam; NULL when nothing is raised
        Kept *strips;           // KitStrips; NULL when there are none
    } kept;
    struct {                    // what is being made
        OutlineMaking *outlines;
        StackMaking *stack;
        KitMaking *kit;
    } making;
    struct {
        Task *tasks;
        int task_count;
        Arena *arenas;          // of the stage's units that need one
        int arena_count;
        int count;              // of the units that run now
        double share_from, share_to; // of the stage, 0 to 1: where it stands before these units, and after them
    } units;
} Run;

typedef bool RunUnit(void *run, int unit, Work *work, Error *err);

// A stage begins: tells the watch, and frees what the stage before left in scratch and in arenas of units.
MUST_USE bool run_begin(Run *run, RunStage stage, Error *err);
// How far the stage is, 0 to 1.
void run_tell_share(Run *run, double share_of_stage);
// version_take with the versions of this run; whoever gets a new one computes it.
MUST_USE bool run_take(Run *run, Key key, size_t value_size_bytes, Kept **out, bool *out_is_new, Error *err);
// The result with this key is there already.
bool run_knows(const Run *run, Key key);

// An empty list of tasks with room for `capacity`.
MUST_USE bool run_open_tasks(Run *run, int capacity, Error *err);
void run_add_task(Run *run, Task task);
// How points weigh: the more an outline and its cover have, the longer it takes.
double run_point_count(const Rings *rings);
// Runs the tasks as units, the longest first; `unit` is an index into run->units.tasks.
MUST_USE bool run_tasks(Run *run, RunUnit *unit, Error *err);
// `count` more arenas for units; they live until the next stage begins.
MUST_USE bool run_open_arenas(Run *run, int count, Error *err);
void run_free_arenas(Run *run);
// Runs units 0 to count - 1 and tells of them as the stage's shares from `from` to `to`.
MUST_USE bool run_units(Run *run, int count, RunUnit *unit, double from, double to, Error *err);

#endif
