using Capacityplan.Web.Plans;
using Microsoft.Extensions.Time.Testing;

namespace Capacityplan.Web.Tests.Plans;

public sealed class LatestWorkTests
{
    private readonly List<string> _shown = [];

    [Fact]
    public async Task Begin_WhileOtherWorkIsUnderWay_StopsItWaitsForItAndShowsTheLaterOnly()
    {
        await using var work = new LatestWork();
        using var gate = new ManualResetEventSlim();
        var begun = new TaskCompletionSource();
        bool hasEnded = false;
        work.Begin(
            turn =>
            {
                Assert.True(turn.Show(() => _shown.Add("first")));
                begun.SetResult();
                gate.Wait();
                Assert.True(turn.Cancellation.IsCancellationRequested);
                Assert.False(turn.Show(() => _shown.Add("first, too late")));
                hasEnded = true;
            },
            Fail);
        await begun.Task;

        work.Begin(
            turn =>
            {
                Assert.True(hasEnded);
                turn.Show(() => _shown.Add("second"));
            },
            Fail);
        gate.Set();
        await work.WhenSettledAsync();

        Assert.Equal(["first", "second"], _shown);
    }

    [Fact]
    public async Task Begin_AfterARest_IsOvertakenBeforeItBegins()
    {
        var clock = new FakeTimeProvider();
        await using var work = new LatestWork();
        work.Begin(turn => turn.Show(() => _shown.Add("first")), Fail, (TimeSpan.FromSeconds(1), clock));
        Task first = work.WhenSettledAsync();
        work.Begin(turn => turn.Show(() => _shown.Add("second")), Fail);
        await first;
        await work.WhenSettledAsync();

        Assert.Equal(["second"], _shown);
    }

    [Fact]
    public async Task Begin_WorkThatFails_ShowsItsFaultAndTells()
    {
        await using var work = new LatestWork();
        int changes = 0;
        work.Changed += () => changes++;

        work.Begin(_ => throw new InvalidTimeZoneException("ours"), Fail);
        await work.WhenSettledAsync();

        Assert.Equal(["ours"], _shown);
        Assert.Equal(1, changes);
        Assert.False(work.Drop());
    }

    [Theory]
    [InlineData(false, "gave up")]
    [InlineData(true, "")]
    public async Task Begin_WorkThatIsCancelled_ShowsSoOnlyWhereItGaveUpItself(bool dropped, string shown)
    {
        await using var work = new LatestWork();
        work.Begin(
            turn =>
            {
                if (dropped)
                    Assert.True(work.Drop());
                throw new OperationCanceledException();
            },
            Fail, stopped: () => _shown.Add("gave up"));
        await work.WhenSettledAsync();

        Assert.Equal(shown, string.Concat(_shown));
    }

    [Fact]
    public async Task Tell_OfWhatIsNotWorthARedraw_ChangesNothing()
    {
        await using var work = new LatestWork();
        work.Begin(
            turn =>
            {
                IProgress<int> progress = turn.Tell<int>(value => _shown.Add($"{value}"), value => value % 2 == 0);
                for (int value = 1; value <= 4; value++)
                    progress.Report(value);
            },
            Fail);
        await work.WhenSettledAsync();

        Assert.Equal(["2", "4"], _shown);
    }

    [Fact]
    public async Task Dispose_WithWorkUnderWay_WaitsForItAndBeginsNoMore()
    {
        var work = new LatestWork();
        using var gate = new ManualResetEventSlim();
        work.Begin(
            turn =>
            {
                gate.Wait();
                turn.Show(() => _shown.Add("too late"));
            },
            Fail);

        ValueTask disposal = work.DisposeAsync();
        Assert.False(disposal.IsCompleted);
        gate.Set();
        await disposal;
        work.Begin(turn => turn.Show(() => _shown.Add("later still")), Fail);
        await work.WhenSettledAsync();

        Assert.Empty(_shown);
    }

    private void Fail(Exception fault) => _shown.Add(fault.Message);
}
