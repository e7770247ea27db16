using Capacityplan.Core.Fitting;
using Capacityplan.Core.Planning;
using Capacityplan.Storage;
using Capacityplan.Web.Plans;
using Microsoft.Extensions.Time.Testing;

namespace Capacityplan.Web.Tests.Plans;

public sealed class OutlookSessionTests
{
    private static readonly DemoData s_demo = DemoData.Load();
    private static readonly Plan s_plan = PlanDraftReader.Read(s_demo.Plan with { Phases = [] }).Plan!;
    private static readonly ScalingForecast s_scaling = Planner.Scale(s_plan);

    [Fact]
    public async Task Show_OfAnAnswer_GivesGrowthAndSensitivity()
    {
        await using var session = new OutlookSession(new FakeTimeProvider(), TimeSpan.Zero);

        session.Show(Answer(s_plan), s_scaling);
        await session.WhenSettledAsync();

        Assert.Equal(GrowthOutlook.PathMonths, session.Growth!.Path.Sum(stretch => stretch.Months));
        Assert.Equal(Answer(s_plan).Verdict.Choice!.Machine.Name, session.Sensitivity!.Choice);
        Assert.True(session is { Progress: null, IsStopped: false, Fault: null });
    }

    [Fact]
    public async Task Show_OfAnotherAnswerMeanwhile_DropsTheFirst()
    {
        await using var session = new OutlookSession(new FakeTimeProvider(), TimeSpan.Zero);

        session.Show(Answer(s_plan), s_scaling);
        session.Show(Answer(s_plan with { Window = null }), s_scaling);
        await session.WhenSettledAsync();

        Assert.Empty(session.Growth!.Path);
        Assert.Null(session.Sensitivity);
    }

    [Fact]
    public async Task Stop_BeforeItBegan_LeavesWhatWasThere()
    {
        await using var session = new OutlookSession(new FakeTimeProvider(), TimeSpan.FromHours(1));

        session.Show(Answer(s_plan), s_scaling);
        session.Stop();
        await session.WhenSettledAsync();

        Assert.Null(session.Growth);
        Assert.True(session.IsStopped);
    }

    private static PlanResult Answer(Plan plan) => Planner.Evaluate(plan, s_demo.Catalogue, new PlannerSettings(), s_scaling);
}
