// work.c - see work.h.
#include "base/work.h"

bool work_cancelled(const Work *work)
{
    return work->cancel && atomic_load_explicit(work->cancel, memory_order_relaxed);
}

bool work_goes_on(const Work *work, Error *err)
{
    if (work->steps_done) atomic_fetch_add_explicit(work->steps_done, 1, memory_order_relaxed);
    if (work_cancelled(work)) return error_set(err, ERROR_CANCELLED, "stopped as asked; nothing was written");
    return true;
}

bool work_share(Work *work, const WorkParts *parts, Error *err)
{
    if (work->crew && parts->count > 1) return work->share(work->crew, work, parts, err);
    for (int part = 0; part < parts->count; part++)
        if (!parts->run(parts->context, part, work, err)) return false;
    return true;
}
