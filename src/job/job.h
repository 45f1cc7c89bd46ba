// job.h - the door: a picture, settings and edits -> the bytes of a kit. The one place that knows the order of the rooms.
// A Job lives long: each update computes again only what depends on what has changed; the rest is taken over. The
// result is the same, byte for byte, as that of a new job with the same settings and edits.
// Memory:  a Job owns every stage result. What an update replaces is freed when the update is whole; after an error or a
//          cancel the job is as it was before, and a later update works. Pointers into a job hold until the next update.
// Threads: one caller at a time; the wish to cancel may come from any thread.
// Errors:  whatever a room says, unchanged. ERROR_JOB when a piece that is cut already would change.
#ifndef PM_JOB_JOB_H
#define PM_JOB_JOB_H

#include "job/edit.h"
#include "job/key.h"
#include "job/replay.h"
#include "job/settings.h"
#include "kit/kit.h"
#include "proof/proof.h"

typedef struct JobInput {
    const void *bytes;          // of the picture file
    size_t size_bytes;
    const char *shown_name;     // printable, for error texts
    const char *kit_name;       // safe for file names
    const char *child_program;  // see PictureOptions
} JobInput;

typedef struct Job {            // an empty one is all zero
    Picture picture;
    Separation separation;
    Outlines outlines;
    Stack stack;                // its findings: those of the edits first
    LayerPieces *pieces;        // one a layer
    const SectionPlan *sections;    // NULL: it does not part
    LayerMarks *marks;          // one a layer
    KitPaper *papers;
    int paper_count;
    const Foam *foam;       // NULL = nothing is raised
    const KitStrips *strips;    // NULL = none
    FileSet kit;                // proof.txt not among them
    double height_mm;           // finished, as asked

    struct Version *version;    // what all this lives in, or what the last update left; NULL before the first
    struct Version *offered;    // what job_offers or job_rows found since then; NULL after an update
    struct Version *colours;    // what job_colours found since then; NULL after an update
    JobInput input;             // copies, in `own`
    Key bytes_key;
    Arena own;
} Job;

// Called on the caller's thread only; each may be NULL.
typedef void (*JobStage)(void *context, const char *stage);     // a stage begins: "colours", "outlines", ...
typedef void (*JobProgress)(void *context, const char *stage, double share);    // 0..1 of the whole, by units done
typedef void (*JobFirstAnswer)(void *context, const Job *job);  // good until the call returns

typedef struct JobWatch {
    const atomic_bool *cancel;
    JobStage stage;
    void *context;
    JobProgress progress;
    // An answer before seams and sheets are refined is shown: colours, outlines, layers, pieces, papers with their sheets;
    // marks, files and thin parts come later. Then all is refined, to the same bytes as without.
    JobFirstAnswer first_answer;
} JobWatch;

// Copies the input; nothing is computed yet.
MUST_USE bool job_create(const JobInput *input, Job *out, Error *err);

// The picture's colours only: picture and separation of the job are filled, all later stages are empty; the
// next update takes over what an earlier one has computed all the same. No height need be set, but then specks are
// judged as at a default one.
MUST_USE bool job_colours(Job *job, const Settings *settings, const EditList *edits, const JobWatch *watch, Error *err);

// Everything up to the kit's bytes. `edits` may be NULL.
MUST_USE bool job_update(Job *job, const Settings *settings, const EditList *edits, const JobWatch *watch, Error *err);

// As job_update, but of the kit's files there is kit.json alone, the same to the byte: what is shown while somebody still
// changes his mind. job_update with the same settings and edits then writes the others, and computes nothing else anew.
MUST_USE bool job_answer(Job *job, const Settings *settings, const EditList *edits, const JobWatch *watch, Error *err);

// What the job comes to, and would come to with pieces against seam in sight (fewer.h) one step either way: these are the
// totals of an update with the same edits and one more, {"edit": "fewer"}. Settings and edits are those of the last update.
// The job stays as it is, but keeps the divisions, so that taking an offer does not search for them again. Each offer
// takes about as long as the seams did; so an answer is shown first, and offers are asked for afterwards.
typedef struct JobOffer {
    Fewer fewer;
    int pieces;
    double visible_mm;          // seam in sight
    bool is_worth_telling;      // fewer pieces, or clearly less seam in sight, than now: whichever way it goes
} JobOffer;

typedef struct JobOffers {
    JobOffer now;
    JobOffer items[2];          // towards fewer pieces first
    int count;
} JobOffers;

MUST_USE bool job_offers(Job *job, const Settings *settings, const EditList *edits, const JobWatch *watch, JobOffers *out, Error *err);

// As job_answer, but the findings lack thin parts and hinges: what another
// paper or another line would come to. A later update takes over what this one computed.
MUST_USE bool job_numbers(Job *job, const Settings *settings, const EditList *edits, const JobWatch *watch, Error *err);

// Rows of a comparison, several at once on the threads given: each is what job_numbers gives, and computed for itself but
// for the picture's part. The job stays as it is, but keeps what the rows share.
// Errors:  what one row cannot (ERROR_JOB, ERROR_USAGE) is its `why`; anything else stops all.
typedef struct JobRow {
    Settings settings;
    FileSet kit;                // kit.json, in the caller's arena; empty with a `why`
    Error why;
} JobRow;

MUST_USE bool job_rows(Job *job, JobRow *rows, int count, const EditList *edits, const JobWatch *watch, Arena *keep, Error *err);

// The least of a column is worth a mark where somebody has less than somebody else: nobody has less than `index`, and
// somebody has more. Values that are not known are NAN and never marked.
bool job_row_is_best(const double *values, int count, int index);

// Create and update in one, without edits. job_free is due also after a failure.
MUST_USE bool job_build(const JobInput *input, const Settings *settings, const JobWatch *watch, Job *out, Error *err);

// Where else a piece would lie while all others stay where they are (nest/places.h): up to NEST_PLACES_MOST places, those on its own sheet
// first. The edit "place" puts it on one of them. Empty when no room is left; ERROR_JOB when there is no such piece. Some milliseconds for
// each sheet of its paper.
typedef struct JobPlaces {
    int paper, index;       // the piece is papers[paper].pieces[index]
    Srgb8 colour;           // as the edit names it
    NestPlace *items;       // sheets from 0
    int count;
} JobPlaces;

MUST_USE bool job_places(const Job *job, const char *piece_id, const atomic_bool *cancel, Arena *keep, JobPlaces *out, Error *err);

// Adds an edit "frozen" to the list for each of these pieces, as they are now.
MUST_USE bool job_freeze(const Job *job, const char *const *piece_ids, int count, Arena *keep, EditList *edits, Error *err);

// A colour by its value ("#1d2f5a") or by its name among the job's colours ("navy").
MUST_USE bool job_find_colour(const Job *job, const char *word, Srgb8 *out, Error *err);

// What edits mean by places: finished millimetres as fractions of the figure's height.
FigurePoint job_place(const Job *job, double x_mm, double y_mm);

size_t job_held_bytes(const Job *job); // of the results

// The proof of a kit's bytes; its text lives in keep.
MUST_USE bool job_prove(const FileSet *files, int threads, const JobWatch *watch, Arena *keep, Proof *out, Error *err);

void job_free(Job *job);        // also after a failure

#endif
