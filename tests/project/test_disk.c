/* A disk that fails: every write, sync, delete and open of SQLite's in turn, once or for good;
 * every rename, link and fsync of our own; a full disk; folders and files that may not be written.
 *
 * What a project acknowledges is there afterwards, what it refuses is not, and it never says that
 * something was done which was not.
 */
#define _DEFAULT_SOURCE
#include "made.h"

#include <errno.h>
#include <glib.h>
#include <glib/gstdio.h>
#include <signal.h>
#include <sqlite3.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

/* ---- a file system between SQLite and the real one ---- */

static struct {
    long countdown; /* to the call that fails; below 1: none */
    bool for_good;  /* and all calls after it */
    bool has_failed;
    sqlite3_vfs *real;
} disk;

typedef struct {
    sqlite3_file base;
    sqlite3_file *real; /* behind this struct */
} fault_file;

static bool fails(void)
{
    bool now = --disk.countdown == 0 || (disk.for_good && disk.has_failed);
    disk.has_failed = disk.has_failed || now;
    return now;
}

static sqlite3_file *real_of(sqlite3_file *file)
{
    return ((fault_file *)(void *)file)->real;
}

static int do_close(sqlite3_file *file)
{
    return real_of(file)->pMethods->xClose(real_of(file));
}

static int do_read(sqlite3_file *file, void *to, int n, sqlite3_int64 at)
{
    return real_of(file)->pMethods->xRead(real_of(file), to, n, at);
}

/* A write that fails leaves half of itself behind. */
static int do_write(sqlite3_file *file, const void *from, int n, sqlite3_int64 at)
{
    bool bad = fails();
    int rc = real_of(file)->pMethods->xWrite(real_of(file), from, bad ? n / 2 : n, at);
    return bad ? SQLITE_IOERR_WRITE : rc;
}

static int do_truncate(sqlite3_file *file, sqlite3_int64 size)
{
    return fails() ? SQLITE_IOERR_TRUNCATE
                   : real_of(file)->pMethods->xTruncate(real_of(file), size);
}

static int do_sync(sqlite3_file *file, int flags)
{
    return fails() ? SQLITE_IOERR_FSYNC : real_of(file)->pMethods->xSync(real_of(file), flags);
}

static int do_size(sqlite3_file *file, sqlite3_int64 *size)
{
    return real_of(file)->pMethods->xFileSize(real_of(file), size);
}

static int do_lock(sqlite3_file *file, int level)
{
    return real_of(file)->pMethods->xLock(real_of(file), level);
}

static int do_unlock(sqlite3_file *file, int level)
{
    return real_of(file)->pMethods->xUnlock(real_of(file), level);
}

static int do_check_lock(sqlite3_file *file, int *out)
{
    return real_of(file)->pMethods->xCheckReservedLock(real_of(file), out);
}

static int do_control(sqlite3_file *file, int what, void *data)
{
    return real_of(file)->pMethods->xFileControl(real_of(file), what, data);
}

static int do_sector(sqlite3_file *file)
{
    return real_of(file)->pMethods->xSectorSize(real_of(file));
}

static int do_device(sqlite3_file *file)
{
    return real_of(file)->pMethods->xDeviceCharacteristics(real_of(file));
}

static const sqlite3_io_methods METHODS = {1, do_close, do_read, do_write, do_truncate, do_sync,
        do_size, do_lock, do_unlock, do_check_lock, do_control, do_sector, do_device, NULL, NULL,
        NULL, NULL, NULL, NULL};

static int do_open(sqlite3_vfs *vfs, const char *name, sqlite3_file *file, int flags, int *got)
{
    (void)vfs;
    fault_file *f = (fault_file *)(void *)file;
    f->real = (sqlite3_file *)(void *)(f + 1);
    f->base.pMethods = NULL;
    if (flags & (SQLITE_OPEN_MAIN_JOURNAL | SQLITE_OPEN_CREATE) && fails())
        return SQLITE_CANTOPEN;
    int rc = disk.real->xOpen(disk.real, name, f->real, flags, got);
    if (f->real->pMethods)
        f->base.pMethods = &METHODS;
    return rc;
}

static int do_delete(sqlite3_vfs *vfs, const char *name, int sync)
{
    (void)vfs;
    return fails() ? SQLITE_IOERR_DELETE : disk.real->xDelete(disk.real, name, sync);
}

static void put_disk_in(void)
{
    static sqlite3_vfs vfs;
    disk.real = sqlite3_vfs_find(NULL);
    vfs = *disk.real;
    vfs.zName = "faults";
    vfs.szOsFile = (int)sizeof(fault_file) + disk.real->szOsFile;
    vfs.xOpen = do_open;
    vfs.xDelete = do_delete;
    vfs.pNext = NULL;
    g_assert_cmpint(sqlite3_vfs_register(&vfs, 1), ==, SQLITE_OK);
}

/* ---- our own calls, by the linker's --wrap ---- */

static long own_countdown;

int __real_rename(const char *, const char *);
int __wrap_rename(const char *, const char *);
int __real_link(const char *, const char *);
int __wrap_link(const char *, const char *);
int __real_fsync(int);
int __wrap_fsync(int);

static bool own_fails(void)
{
    bool now = --own_countdown == 0;
    if (now)
        errno = EIO;
    return now;
}

int __wrap_rename(const char *from, const char *to)
{
    return own_fails() ? -1 : __real_rename(from, to);
}

int __wrap_link(const char *from, const char *to)
{
    return own_fails() ? -1 : __real_link(from, to);
}

int __wrap_fsync(int fd)
{
    return own_fails() ? -1 : __real_fsync(fd);
}

/* ---- tests ---- */

static tb_project *new_model(void)
{
    tb_project_start start = made_start();
    tb_project *model;
    g_assert_cmpint(tb_project_new(&model, &start, NULL), ==, TB_OK);
    return model;
}

/* The project stands where the model stands, or, if it may, one step further: the model follows. */
static void compare(tb_project *project, tb_project *model, unsigned step, bool may_be_further)
{
    g_autofree char *is = made_digest(project);
    g_autofree char *should = made_digest(model);
    if (g_strcmp0(is, should) == 0)
        return;
    g_assert_true(may_be_further);
    g_assert_cmpint(made_step(model, step, NULL), ==, TB_OK);
    g_autofree char *further = made_digest(model);
    g_assert_cmpstr(is, ==, further);
}

/* The script with the nth call failing; false when there are fewer calls. */
static bool run_with_fault(const char *path, long n, bool for_good)
{
    enum { STEPS = 12 };
    tb_project_start start = made_start();
    tb_project *project, *model = new_model();
    tb_error err = {0};
    unsigned step = 0;
    bool in_doubt = false;
    g_assert_cmpint(tb_project_create(&project, path, true, &start, &err), ==, TB_OK);
    disk.countdown = n;
    disk.for_good = for_good;
    disk.has_failed = false;
    for (; step < STEPS && !in_doubt; step++) {
        tb_status status = made_step(project, step, &err);
        if (!status) {
            g_assert_cmpint(made_step(model, step, NULL), ==, TB_OK);
            continue;
        }
        g_assert_true(disk.has_failed);
        g_assert_cmpstr(err.text, !=, "");
        if (tb_project_can_change(project))
            compare(project, model, step, true);
        else
            in_doubt = true;
    }
    tb_project_close(project);
    disk.countdown = 0;
    bool failed = disk.has_failed;
    disk.for_good = disk.has_failed = false;
    tb_status status = tb_project_open(&project, path, true, &err);
    g_assert_cmpstr(err.text, ==, status || err.text[0] ? err.text : "");
    g_assert_cmpint(status, ==, TB_OK);
    compare(project, model, step - 1, in_doubt);
    tb_project_close(project);
    tb_project_close(model);
    return failed;
}

static void fail_in_turn(bool for_good)
{
    char *folder = made_folder();
    g_autofree char *path = made_path(folder, "keeper.tombolo");
    long n = 1;
    while (run_with_fault(path, n, for_good))
        n++;
    g_test_message("%ld calls failed in turn", n - 1);
    g_assert_cmpint(n, >, 50);
    made_remove(folder);
}

static void test_disk__fails_once(void)
{
    fail_in_turn(false);
}

static void test_disk__fails_for_good(void)
{
    fail_in_turn(true);
}

static unsigned n_files(const char *folder)
{
    unsigned n = 0;
    g_autoptr(GDir) dir = g_dir_open(folder, 0, NULL);
    while (g_dir_read_name(dir))
        n++;
    return n;
}

/* What stands at the path is the old project or the new one, whole, and nothing beside it. */
static void test_disk__a_copy_appears_whole_or_not_at_all(void)
{
    char *folder = made_folder();
    g_autofree char *path = made_path(folder, "keeper.tombolo");
    tb_project *old = new_model(), *new = new_model(), *is;
    g_assert_cmpint(made_step(new, 3, NULL), ==, TB_OK);
    g_autofree char *old_digest = made_digest(old);
    g_autofree char *new_digest = made_digest(new);
    for (int own = 0; own <= 1; own++) {
        tb_status status = TB_EWRITE;
        for (long n = 1; status; n++) {
            g_assert_cmpint(tb_project_copy(old, path, true, NULL), ==, TB_OK);
            own_countdown = own ? n : 0;
            disk.countdown = own ? 0 : n;
            status = tb_project_copy(new, path, true, NULL);
            own_countdown = disk.countdown = 0;
            disk.has_failed = false;
            g_assert_cmpuint(n_files(folder), ==, 1);
            g_assert_cmpint(tb_project_open(&is, path, true, NULL), ==, TB_OK);
            g_autofree char *digest = made_digest(is);
            if (!status || strcmp(digest, old_digest) != 0)
                g_assert_cmpstr(digest, ==, new_digest);
            tb_project_close(is);
        }
    }
    tb_project_close(old);
    tb_project_close(new);
    made_remove(folder);
}

/* Runs in a child, so that limits and rights given up stay there; it exits 0 if all is well. */
static void in_child(void (*work)(const char *path, int reports), const char *path, GArray *steps)
{
    int reports[2];
    g_assert_cmpint(pipe(reports), ==, 0);
    pid_t pid = fork();
    if (pid == 0) {
        close(reports[0]);
        work(path, reports[1]);
        _exit(0);
    }
    close(reports[1]);
    unsigned step;
    while (read(reports[0], &step, sizeof step) == sizeof step)
        g_array_append_val(steps, step);
    close(reports[0]);
    int how;
    g_assert_cmpint(waitpid(pid, &how, 0), ==, pid);
    g_assert_true(WIFEXITED(how));
    g_assert_cmpint(WEXITSTATUS(how), ==, 0);
}

/* No file may grow beyond a size that a few hundred steps reach. */
static void work_until_full(const char *path, int reports)
{
    tb_project *project;
    tb_error err = {0};
    struct rlimit limit = {150000, 150000};
    signal(SIGXFSZ, SIG_IGN);
    setrlimit(RLIMIT_FSIZE, &limit);
    if (tb_project_open(&project, path, true, &err))
        _exit(1);
    int refused = 0;
    for (unsigned step = 0; step < 3000; step++) {
        tb_status status = made_step(project, step, &err);
        refused += status != TB_OK;
        if (status && (status != TB_EWRITE || !strstr(err.text, "the disk is full")))
            _exit(2);
        if (!status && write(reports, &step, sizeof step) != sizeof step)
            _exit(3);
    }
    tb_project_close(project);
    _exit(refused > 0 ? 0 : 4);
}

static void test_disk__is_full(void)
{
    char *folder = made_folder();
    g_autofree char *path = made_path(folder, "keeper.tombolo");
    g_autoptr(GArray) steps = g_array_new(FALSE, FALSE, sizeof(unsigned));
    tb_project_start start = made_start();
    tb_project *project, *model = new_model();
    g_assert_cmpint(tb_project_create(&project, path, false, &start, NULL), ==, TB_OK);
    tb_project_close(project);
    in_child(work_until_full, path, steps);
    for (guint i = 0; i < steps->len; i++)
        g_assert_cmpint(made_step(model, g_array_index(steps, unsigned, i), NULL), ==, TB_OK);
    g_assert_cmpuint(steps->len, >, 100);
    g_assert_cmpint(tb_project_open(&project, path, true, NULL), ==, TB_OK);
    compare(project, model, 0, false);
    tb_project_close(project);
    tb_project_close(model);
    made_remove(folder);
}

static void work_without_rights(const char *path, int reports)
{
    tb_project *project;
    tb_error err = {0};
    (void)reports;
    if (getuid() == 0 && (setgid(65534) || setuid(65534)))
        _exit(1);
    if (tb_project_open(&project, path, true, &err) || tb_project_can_change(project))
        _exit(2);
    if (!strstr(tb_project_remark(project), "write protected"))
        _exit(3);
    if (made_step(project, 3, &err) != TB_EWRITE || !err.text[0])
        _exit(4);
    g_autofree char *digest = made_digest(project);
    if (!digest)
        _exit(5);
    g_autofree char *copy = g_strconcat(path, "-copy", NULL);
    if (tb_project_copy(project, copy, false, &err) != TB_EWRITE)
        _exit(6);
    tb_project_close(project);
}

static void test_disk__is_write_protected(void)
{
    static const struct {
        int folder_mode, file_mode;
    } ROWS[] = {{0555, 0666}, {0555, 0444}, {0555, 0444}};
    char *folder = made_folder();
    g_autofree char *path = made_path(folder, "keeper.tombolo");
    g_autoptr(GArray) none = g_array_new(FALSE, FALSE, sizeof(unsigned));
    tb_project_start start = made_start();
    tb_project *project;
    g_assert_cmpint(tb_project_create(&project, path, false, &start, NULL), ==, TB_OK);
    tb_project_close(project);
    for (size_t i = 0; i < G_N_ELEMENTS(ROWS); i++) {
        g_assert_cmpint(g_chmod(path, ROWS[i].file_mode), ==, 0);
        g_assert_cmpint(g_chmod(folder, ROWS[i].folder_mode), ==, 0);
        in_child(work_without_rights, path, none);
    }
    g_assert_cmpint(g_chmod(folder, 0755), ==, 0);
    made_remove(folder);
}

int main(int argc, char **argv)
{
    g_test_init(&argc, &argv, NULL);
    put_disk_in();
#define ADD(name) g_test_add_func("/disk/" #name, test_disk__##name)
    ADD(fails_once);
    ADD(fails_for_good);
    ADD(a_copy_appears_whole_or_not_at_all);
    ADD(is_full);
    ADD(is_write_protected);
    return g_test_run();
}
