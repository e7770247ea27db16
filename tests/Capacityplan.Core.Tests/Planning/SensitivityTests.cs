using Capacityplan.Core.Fitting;
using Capacityplan.Core.Planning;

namespace Capacityplan.Core.Tests.Planning;

public sealed class SensitivityTests
{
    private static readonly ScalingForecast s_scaling = Planner.Scale(TidemarkJob.Plan);
    private static readonly PlanResult s_result = Planner.Evaluate(TidemarkJob.Plan, TidemarkJob.Catalogue, new PlannerSettings(), s_scaling);
    private static readonly Sensitivity s_known = Sensitivity.Of(s_result, s_scaling)!;

    [Fact]
    public void Of_TheDemo_StartsFromItsAnswer()
    {
        Assert.Equal(s_result.Verdict.Choice!.Machine.Name, s_known.Choice);
        Assert.Equal(Enum.GetValues<AnswerInput>().Length, s_known.Inputs.Length);
        Assert.Equal(s_known.Inputs.Select(effect => effect.Swing).OrderDescending(), s_known.Inputs.Select(effect => effect.Swing));
    }

    [Fact]
    public void BaseCost_IsThatOfTheCheapestPath_AndMoreWhereMonthsAreLeftWithoutAMachine()
    {
        PlanResult roomy = Planner.Evaluate(TidemarkJob.Plan with { Window = new BatchWindow(7_200) }, TidemarkJob.Catalogue, new PlannerSettings(), s_scaling);
        GrowthOutlook held = GrowthOutlook.Of(roomy, s_scaling, TestContext.Current.CancellationToken);
        GrowthOutlook tight = GrowthOutlook.Of(s_result, s_scaling, TestContext.Current.CancellationToken);

        Assert.Equal(0, held.MonthsWithout);
        Assert.Equal((double)held.Total, (double)Sensitivity.Of(roomy, s_scaling)!.BaseCost, 1e-6 * (double)held.Total);
        Assert.Equal(tight.MonthsWithout > 0, s_known.BaseCost > tight.Total * 1.000001m);
    }

    [Fact]
    public void Thresholds_OfWorkAndSpan_AreWhereAWhatIfMovesTheChoice()
    {
        foreach ((AnswerInput input, Func<double, WhatIf> levers) in (ReadOnlySpan<(AnswerInput, Func<double, WhatIf>)>)
            [(AnswerInput.Work, factor => new WhatIf { Work = factor }), (AnswerInput.Span, factor => new WhatIf { Span = factor })])
        {
            InputEffect effect = s_known.Inputs.Single(one => one.Input == input);
            foreach (Threshold threshold in (Threshold[])[.. ((Threshold?[])[effect.Below, effect.Above]).OfType<Threshold>()])
            {
                // Two machines of nearly one price may change places once more within a hundredth.
                double inward = threshold.Factor > 1 ? 0.999 : 1.001;
                Assert.Equal(s_known.Choice, Chosen(levers(threshold.Factor * inward)));
                Assert.Equal(threshold.Machine, Chosen(levers(threshold.Factor / inward)));
            }
        }

        Assert.NotNull(s_known.Inputs.Single(one => one.Input == AnswerInput.Work).Above);

        static string? Chosen(WhatIf levers) =>
            levers.Evaluate(TidemarkJob.Plan, TidemarkJob.Catalogue, new PlannerSettings(), s_scaling).Verdict is { State: VerdictState.Holds, Choice: { } choice }
                ? choice.Machine.Name
                : null;
    }

    [Fact]
    public void Price_OfTheChoice_LosesWhereTheNextCheapestCostsLess()
    {
        InputEffect price = s_known.Inputs.Single(one => one.Input == AnswerInput.Price);
        double ratio = (double)(s_result.RunnerUp!.CostPerRun / s_result.Verdict.Choice!.CostPerRun);

        Assert.Null(price.Below);
        if (ratio < 2)
            Assert.Equal(ratio, price.Above!.Factor, 0.01);
        else
            Assert.Null(price.Above);
    }

    [Fact]
    public void Of_APlanAskedTwice_IsTheSame()
    {
        Sensitivity again = Sensitivity.Of(s_result, s_scaling)!;

        Assert.Equal(s_known.Inputs.AsEnumerable(), again.Inputs.AsEnumerable());
    }

    [Fact]
    public void Of_APlanWithoutAWindow_IsNothing() =>
        Assert.Null(Sensitivity.Of(Planner.Evaluate(TidemarkJob.Plan with { Window = null }, TidemarkJob.Catalogue, new PlannerSettings(), s_scaling), s_scaling));
}
