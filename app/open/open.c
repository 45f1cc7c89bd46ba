// open.c - papermason open: the page on this machine, until somebody says stop.
#include "cli/commands.h"
#include "cli/disk.h"
#include "cli/page_size.h"

#include "browser.h"
#include "embedded.h"
#include "server.h"

#include "base/write_json.h"
#include "proof/read_json.h"
#include "store/job_file.h"
#include "store/shelf.h"

#include <fcntl.h>
#include <malloc.h>
#include <signal.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

// Jobs lie beside the shelf unless a folder is named.
static bool find_places(const Arguments *arguments, Arena *keep, DeskOptions *out, Error *err)
{
    const char *shelf = shelf_usual_path(keep);
    out->shelf_path = shelf;
    out->job_folder = arguments->jobs;
    if (out->job_folder) return true;
    const char *slash = shelf ? strrchr(shelf, '/') : NULL;
    if (!slash) return error_set(err, ERROR_SYSTEM, "no home folder is known; name a folder for jobs with --jobs");
    Text text = text_make(keep);
    text_add_bytes(&text, shelf, (size_t)(slash - shelf));
    text_add(&text, "/jobs");
    out->job_folder = text.bytes;
    return text_is_whole(&text, err);
}

static bool make_server(const Arguments *arguments, const Session *session, Arena *keep, Server **out, Error *err)
{
    ServerOptions options = {.port = arguments->port, .page_folder = arguments->page_from};
    options.desk = (DeskOptions){.child_program = session->program, .threads = arguments->settings.threads,
                                 .usual_paper = page_size_of_place(page_size_locale()) == KIT_PAGE_A4 ? "a4" : "letter",
                                 .demo_bytes = demo_files[0].bytes, .demo_size_bytes = demo_files[0].size_bytes};
    return find_places(arguments, keep, &options.desk, err) && server_create(&options, out, err);
}

// ---- what lies on the table at first ----

static bool is_job_file(const char *path)
{
    char bytes[100];
    size_t size = strlen(path);
    if (size > 7 && strcmp(path + size - 7, ".pmason") == 0) return true; // told as a job file, whatever it holds
    int file = open(path, O_RDONLY | O_CLOEXEC | O_NONBLOCK);
    if (file < 0) return false;
    ssize_t got = read(file, bytes, sizeof bytes);
    close(file);
    return got > 0 && job_file_looks_like_one(bytes, (size_t)got);
}

// The desk says in a reply what is wrong with a picture.
static bool check_reply(const Text *reply, Arena *keep, Error *err)
{
    const json_t *object;
    json_error_t where;
    if (!read_json(reply->bytes, reply->size_bytes, keep, &object, &where, err)) return false;
    if (json_is_true(json_object_get(object, "ok"))) return true;
    const char *text = json_string_value(json_object_get(json_object_get(object, "error"), "text"));
    return error_set(err, ERROR_INPUT, "%s", text ? text : "the picture cannot be read");
}

static bool lay_subject(const Arguments *arguments, Server *server, Arena *keep, Error *err)
{
    FileBytes file;
    if (!arguments->subject) return true;
    if (is_job_file(arguments->subject)) return desk_open_job(server_desk(server), arguments->subject, err);
    Text reply = text_make(keep);
    return disk_read_file(arguments->subject, keep, &file, err) &&
           desk_take_picture(server_desk(server), arguments->subject, file.bytes, file.size_bytes, &reply, err) &&
           check_reply(&reply, keep, err);
}

// ---- running ----

static bool tell_address(const Arguments *arguments, const Server *server, Arena *keep, Error *err)
{
    Text text = text_make(keep);
    if (arguments->json) {
        JsonWriter json = write_json_make(&text);
        write_json_object(&json);
        write_json_key_string(&json, "address", server_address(server));
        write_json_key_number(&json, "port", server_port(server), 0);
        write_json_end(&json);
    } else {
        text_printf(&text, "The worktable is open on this machine alone: %s\nIt ends when you press Ctrl-C here; every change is saved at once.\n",
                    server_address(server));
    }
    if (!text_is_whole(&text, err)) return false;
    fwrite(text.bytes, 1, text.size_bytes, stdout);
    return fflush(stdout) == 0 || error_set(err, ERROR_SYSTEM, "the address could not be printed; is the reader gone?");
}

static void show(const Arguments *arguments, const Server *server)
{
    if (arguments->no_browser || browser_open(server_address(server))) return;
    fputs("papermason: no browser could be opened; open the address above in one.\n", stderr);
}

// Until SIGINT or SIGTERM, which are blocked in all threads meanwhile.
static bool run(const Arguments *arguments, Server *server, Arena *keep, Error *err)
{
    sigset_t ends;
    int which;
    sigemptyset(&ends);
    sigaddset(&ends, SIGINT);
    sigaddset(&ends, SIGTERM);
    pthread_sigmask(SIG_BLOCK, &ends, NULL);
    bool done = server_start(server, err) && tell_address(arguments, server, keep, err);
    if (done) {
        show(arguments, server);
        sigwait(&ends, &which);
    }
    pthread_sigmask(SIG_UNBLOCK, &ends, NULL);
    return done;
}

// The library gives each thread that allocates while others do a heap of its own and keeps what it once had there: with a thread a
// connection that grew to 88 MB over 15 pictures, with two heaps it stays under 62. Two threads work things out.
static void share_heaps(void)
{
#ifdef M_ARENA_MAX
    (void)mallopt(M_ARENA_MAX, 2);
#endif
}

bool command_open(const Arguments *arguments, const Session *session, Error *err)
{
    share_heaps();
    Arena keep = arena_make(0);
    Server *server = NULL;
    bool done = make_server(arguments, session, &keep, &server, err) && lay_subject(arguments, server, &keep, err) &&
                run(arguments, server, &keep, err);
    server_destroy(server);
    arena_free(&keep);
    return done;
}
