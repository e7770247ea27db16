using System.Collections.Concurrent;
using System.Runtime.InteropServices;

namespace Capacityplan.Web.Plans;

/// <summary>
/// Threads for what follows an answer, such as simulated runs: they take what processor time others leave, so that the next
/// keystroke is answered no later for them.
/// </summary>
internal sealed class QuietThreads : TaskScheduler
{
    /// <summary>Steps below the usual priority, of 19 there are.</summary>
    private const int Niceness = 10;

    [ThreadStatic]
    private static bool s_isQuiet;

    private readonly BlockingCollection<Task> _tasks = [];

    private QuietThreads()
    {
        // Two simulations on half the processors each, and as many pages' further work.
        int threads = 2 * Math.Max(2, Environment.ProcessorCount);
        for (int number = 0; number < threads; number++)
            new Thread(Work) { IsBackground = true, Name = "quiet work" }.Start();
    }

    /// <summary>The server's.</summary>
    public static QuietThreads Shared { get; } = new();

    /// <summary>True on one of these threads.</summary>
    public static bool IsHere => s_isQuiet;

    /// <inheritdoc/>
    protected override void QueueTask(Task task) => _tasks.Add(task);

    /// <inheritdoc/>
    protected override bool TryExecuteTaskInline(Task task, bool taskWasPreviouslyQueued) => s_isQuiet && TryExecuteTask(task);

    /// <inheritdoc/>
    protected override IEnumerable<Task> GetScheduledTasks() => [.. _tasks];

    private void Work()
    {
        s_isQuiet = true;
        Thread.CurrentThread.Priority = ThreadPriority.BelowNormal;
        // There the runtime leaves a thread's priority as it is. Where this is forbidden, the threads are as loud as any.
        if (OperatingSystem.IsLinux())
            _ = setpriority(which: 0, who: 0, Niceness);
        foreach (Task task in _tasks.GetConsumingEnumerable())
            TryExecuteTask(task);
    }

    /// <summary>With 0 and 0, of the calling thread.</summary>
    [DllImport("libc")]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
#pragma warning disable IDE1006 // The C library's own name.
    private static extern int setpriority(int which, int who, int priority);
#pragma warning restore IDE1006
}
