using Capacityplan.Web.Plans;

namespace Capacityplan.Web.Tests.Plans;

public sealed class QuietThreadsTests
{
    private static readonly CancellationToken s_cancellation = TestContext.Current.CancellationToken;

    [Fact]
    public async Task Loop_BegunOnAQuietThread_StaysOnQuietThreads()
    {
        bool[] quiet = new bool[200];

        await Quietly(() => Parallel.For(
            0, quiet.Length, new ParallelOptions { MaxDegreeOfParallelism = 2, TaskScheduler = TaskScheduler.Current }, at => quiet[at] = QuietThreads.IsHere));

        Assert.False(QuietThreads.IsHere);
        Assert.DoesNotContain(false, quiet);
    }

    [Fact]
    public async Task Loops_MoreThanThereAreThreads_AllEnd()
    {
        // Each waits for its own helpers, which stand in line behind the others.
        int[] sums = await Task.WhenAll(Enumerable.Range(0, 40).Select(_ => Quietly(() =>
        {
            int sum = 0;
            Parallel.For(0, 100, new ParallelOptions { TaskScheduler = TaskScheduler.Current }, at => Interlocked.Add(ref sum, at));
            return sum;
        })));

        Assert.All(sums, sum => Assert.Equal(4_950, sum));
    }

    [Fact]
    public async Task Priority_OnLinux_IsBelowTheUsual()
    {
        Assert.SkipUnless(OperatingSystem.IsLinux(), "Where the system has no such file.");

        (int Quiet, int Usual) niceness = (await Quietly(Niceness), Niceness());

        Assert.True(niceness.Quiet > niceness.Usual || niceness.Quiet == 19, $"{niceness}");
    }

    [Fact]
    public async Task Change_ShownByAQuietThread_IsToldByAnother()
    {
        var work = new LatestWork();
        var told = new TaskCompletionSource<bool>();
        work.Changed += () => told.TrySetResult(QuietThreads.IsHere);

        work.Begin(turn => _ = turn.Show(() => { }), _ => { }, on: QuietThreads.Shared);

        Assert.False(await told.Task.WaitAsync(TimeSpan.FromMinutes(1), s_cancellation));
        await work.DisposeAsync();
    }

    private static Task<T> Quietly<T>(Func<T> work) => Task.Factory.StartNew(work, s_cancellation, TaskCreationOptions.DenyChildAttach, QuietThreads.Shared);

    /// <summary>The calling thread's, the 19th field of its stat file, counted from after the name in parentheses.</summary>
    private static int Niceness()
    {
        string stat = File.ReadAllText("/proc/thread-self/stat");
        return int.Parse(stat[(stat.LastIndexOf(')') + 2)..].Split(' ')[16], System.Globalization.CultureInfo.InvariantCulture);
    }
}
