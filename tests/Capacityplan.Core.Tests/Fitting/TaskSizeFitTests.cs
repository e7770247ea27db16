using Capacityplan.Core.Fitting;
using Capacityplan.Core.Jobs;

namespace Capacityplan.Core.Tests.Fitting;

public sealed class TaskSizeFitTests
{
    // J. Lieblein and M. Zelen, "Statistical Investigation of the Fatigue Life of Deep-Groove Ball Bearings", Journal of Research
    // of the National Bureau of Standards 57 (1956): millions of revolutions of 23 bearings, as reprinted since.
    private static readonly double[] s_bearings =
    [
        17.88, 28.92, 33.00, 41.52, 42.12, 45.60, 48.48, 51.84, 51.96, 54.12, 55.56, 67.80, 68.64, 68.64, 68.88, 84.12, 93.12, 98.64, 105.12, 105.84, 127.92, 128.04, 173.40,
    ];

    private static readonly TaskSizes[] s_true =
        [new UniformSizes(1, 4), new ExponentialSizes(2), new GammaSizes(3, 0.5), new LognormalSizes(-2, 1), new BoundedParetoSizes(1.2, 1e-3, 10)];

    /// <summary>Worked example of the gamma distribution in "Life Data Analysis Reference": k = 50.4908, mu = log(scale) = 0.0772.</summary>
    [Fact]
    public void Gamma_PublishedExample_GivesItsEstimates()
    {
        double[] units = [61, 50, 67, 49, 53, 62, 53, 61, 43, 65, 53, 56, 62, 56, 58, 55, 58, 48, 66, 44, 48, 58, 43, 40];
        var gamma = (GammaSizes)Candidate(new SampleSizes(units), TaskSizeFamily.Gamma).Sizes;
        Assert.Equal(50.4908, gamma.Shape, 2e-3);
        Assert.Equal(0.0772, Math.Log(gamma.Scale), 1e-4);
    }

    /// <summary>A numerical library's documented example of a gamma fit ("gamfit", OML reference): 3.5765 and 2.9519.</summary>
    [Fact]
    public void Gamma_DocumentedExample_GivesItsEstimates()
    {
        double[] values = [9, 12.88, 6.56, 12.4, 1.72, 14.38, 9.55, 8.48, 3.76, 11.6, 6.7, 29.14, 9.76, 13.2, 19.95, 11.77, 8.47, 7.23, 7.36, 7.24];
        var gamma = (GammaSizes)Candidate(new SampleSizes(values), TaskSizeFamily.Gamma).Sizes;
        Assert.Equal(3.5765, gamma.Shape, 1e-4);
        Assert.Equal(2.9519, gamma.Scale, 1e-4);
    }

    /// <summary>Worked example of the lognormal distribution in "Life Data Analysis Reference": mu' = 2.83, sigma' = 1.10.</summary>
    [Fact]
    public void Lognormal_PublishedExample_GivesItsEstimates()
    {
        var lognormal = (LognormalSizes)Candidate(new SampleSizes([2, 5, 11, 23, 29, 37, 43, 59]), TaskSizeFamily.Lognormal).Sizes;
        Assert.Equal(2.83, lognormal.Mu, 5e-3);
        Assert.Equal(1.10, lognormal.Sigma, 5e-3);
    }

    /// <summary>
    /// From memory, R. D. Gupta and D. Kundu, "Exponentiated Exponential Family: An Alternative to Gamma and Weibull Distributions",
    /// Biometrical Journal 43 (2001): gamma shape 4.0196 and log-likelihood -113.0274 for the ball bearings.
    /// </summary>
    [Fact]
    public void Gamma_BallBearings_HasThePublishedLikelihood()
    {
        FittedTaskSizes gamma = Candidate(new SampleSizes(s_bearings), TaskSizeFamily.Gamma);
        Assert.Equal(4.025, ((GammaSizes)gamma.Sizes).Shape, 0.01);
        Assert.Equal(-113.03, gamma.LogLikelihood, 0.01);
    }

    /// <summary>The score equation of Aban, Meerschaert and Panorska 2006 in its own terms, at the estimate.</summary>
    [Fact]
    public void BoundedPareto_Estimate_SolvesThePublishedScoreEquation()
    {
        double[] values = new double[500];
        new BoundedParetoSizes(0.8, 2, 300).Fill(new RandomSource(41), values);
        var fitted = (BoundedParetoSizes)Candidate(new SampleSizes(values), TaskSizeFamily.BoundedPareto).Sizes;
        Assert.Equal((values.Min(), values.Max()), (fitted.Min, fitted.Max));
        double ratio = fitted.Min / fitted.Max, power = Math.Pow(ratio, fitted.Alpha);
        double score = values.Length / fitted.Alpha + values.Length * power * Math.Log(ratio) / (1 - power) - values.Sum(x => Math.Log(x) - Math.Log(fitted.Min));
        Assert.Equal(0, score, 1e-8);
    }

    /// <summary>The likelihood stated is the sum of the densities, and no neighbouring parameters have a larger one.</summary>
    [Fact]
    public void Fit_EachFamily_IsAtTheTopOfItsLikelihood()
    {
        foreach (TaskSizes from in s_true)
        {
            double[] values = new double[300];
            from.Fill(new RandomSource(42), values);
            foreach (FittedTaskSizes candidate in TaskSizeFit.Of(new SampleSizes(values), 1).Candidates)
            {
                double own = values.Sum(candidate.Sizes.LogDensity);
                Assert.Equal(own, candidate.LogLikelihood, 1e-8 * Math.Abs(own));
                foreach ((double one, double other) in new[] { (1.01, 1.0), (0.99, 1.0), (1.0, 1.01), (1.0, 0.99), (1.01, 1 / 1.01), (0.99, 1 / 0.99) })
                {
                    TaskSizes beside = candidate.Sizes switch
                    {
                        ExponentialSizes sizes => new ExponentialSizes(sizes.Mean * one),
                        GammaSizes sizes => new GammaSizes(sizes.Shape * one, sizes.Scale * other),
                        LognormalSizes sizes => new LognormalSizes(sizes.Mu * one, sizes.Sigma * other),
                        BoundedParetoSizes sizes => new BoundedParetoSizes(sizes.Alpha * one, sizes.Min, sizes.Max),
                        _ => new UniformSizes(values.Min() * 0.99, values.Max() * 1.01),
                    };
                    Assert.True(values.Sum(beside.LogDensity) <= own + 1e-9);
                }
            }
        }
    }

    /// <summary>Estimates scatter about the truth with the standard errors that Fisher's information gives.</summary>
    [Fact]
    public void Fit_SimulatedSamples_ComeWithinTheirStandardErrors()
    {
        const int Count = 4_000, Trials = 40;
        double Spread(TaskSizes from, Func<FittedTaskSizes, double> estimate, TaskSizeFamily family, double truth, double standardError)
        {
            double squares = 0;
            double[] values = new double[Count];
            for (int trial = 0; trial < Trials; trial++)
            {
                from.Fill(new RandomSource(43, (ulong)trial), values);
                double z = (estimate(Candidate(new SampleSizes(values), family)) - truth) / standardError;
                Assert.InRange(z, -4.5, 4.5);
                squares += z * z;
            }

            return squares / Trials;
        }

        // Gamma, k = 2.5: var k = k / (n (k psi'(k) - 1)), psi'(2.5) = pi^2/2 - 4 - 4/9.
        double trigamma = Math.PI * Math.PI / 2 - 4 - 4.0 / 9;
        double[] spreads =
        [
            Spread(new ExponentialSizes(3), fit => fit.Sizes.Mean, TaskSizeFamily.Exponential, 3, 3 / Math.Sqrt(Count)),
            Spread(new LognormalSizes(-4, 0.7), fit => ((LognormalSizes)fit.Sizes).Mu, TaskSizeFamily.Lognormal, -4, 0.7 / Math.Sqrt(Count)),
            Spread(new LognormalSizes(-4, 0.7), fit => ((LognormalSizes)fit.Sizes).Sigma, TaskSizeFamily.Lognormal, 0.7, 0.7 / Math.Sqrt(2.0 * Count)),
            Spread(new GammaSizes(2.5, 2), fit => ((GammaSizes)fit.Sizes).Shape, TaskSizeFamily.Gamma, 2.5, Math.Sqrt(2.5 / (Count * (2.5 * trigamma - 1)))),
            // Pareto with the upper end far off: alpha / sqrt(n).
            Spread(new BoundedParetoSizes(1.5, 1, 1e6), fit => ((BoundedParetoSizes)fit.Sizes).Alpha, TaskSizeFamily.BoundedPareto, 1.5, 1.5 / Math.Sqrt(Count)),
        ];
        // Chi-square over 40 degrees of freedom: 0.52 to 1.73 holds 99.9 %.
        Assert.All(spreads, spread => Assert.InRange(spread, 0.5, 1.75));
    }

    [Theory]
    [InlineData(0)]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    [InlineData(4)]
    public void Fit_SamplesOfAFamily_MostlyNameIt(int from)
    {
        double[] values = new double[1_500];
        int named = 0, usable = 0;
        for (int trial = 0; trial < 30; trial++)
        {
            s_true[from].Fill(new RandomSource(44, (ulong)trial), values);
            var fit = TaskSizeFit.Of(new SampleSizes(values), 1);
            named += fit.Candidates[0].Sizes.GetType() == s_true[from].GetType() || fit.AlmostAsGood.Any(family => (int)family == from + 1) ? 1 : 0;
            usable += fit.Best is not null ? 1 : 0;
        }

        Assert.True(named >= 28 && usable >= 28, $"{named} named, {usable} usable");
    }

    /// <summary>A sample of the fitted family should pass in about 95 of 100 cases, however few values there are.</summary>
    [Fact]
    public void Fit_FewValuesOfAFamily_MostlyPass()
    {
        int passed = 0;
        double[] values = new double[30];
        for (int trial = 0; trial < 60; trial++)
        {
            new ExponentialSizes(2).Fill(new RandomSource(45, (ulong)trial), values);
            passed += TaskSizeFit.Of(new SampleSizes(values), 1).Best is not null ? 1 : 0;
        }

        Assert.InRange(passed, 52, 60);
    }

    [Fact]
    public void Fit_Mixture_FitsNoneAndUsesTheSample()
    {
        foreach (int count in new[] { 300, 3_000, 50_000 })
        {
            double[] values = new double[count];
            var random = new RandomSource(46);
            for (int i = 0; i < count; i++)
                values[i] = random.NextUniform() < 0.6 ? 0.01 * random.NextGamma(30) : 3 * random.NextGamma(30);
            var sizes = SampleSizes.Condense(values);
            var fit = TaskSizeFit.Of(sizes, 1);
            Assert.Null(fit.Best);
            Assert.Same(sizes, fit.Sizes);
            Assert.StartsWith("None fits well, using the sample itself: the nearest, ", fit.Sentence, StringComparison.Ordinal);
        }
    }

    /// <summary>A few stragglers that hold a third of the work hardly move the curve, but no plan may miss them.</summary>
    [Fact]
    public void Fit_RareLongTasks_AreNotOverlooked()
    {
        foreach (int count in new[] { 900, 40_000 })
        {
            double[] values = new double[count];
            new GammaSizes(4, 0.25).Fill(new RandomSource(47), values);
            for (int i = 0; i < count / 200; i++)
                values[i * 199] = 100;
            var fit = TaskSizeFit.Of(SampleSizes.Condense(values), 1);
            Assert.Null(fit.Best);
        }
    }

    [Fact]
    public void Fit_ManyValuesOfAFamily_IsNotRefusedForTheirNumber()
    {
        for (int kind = 0; kind < s_true.Length; kind++)
        {
            double[] values = new double[200_000];
            s_true[kind].Fill(new RandomSource(48), values);
            var fit = TaskSizeFit.Of(SampleSizes.Condense(values), 1);
            Assert.Equal(s_true[kind].GetType(), fit.Sizes.GetType());
            Assert.Null(fit.GapChance);
            Assert.Equal(s_true[kind].Mean, fit.Sizes.Mean, 0.05 * s_true[kind].Mean);
            Assert.Contains("fits well", fit.Sentence, StringComparison.Ordinal);
        }
    }

    [Fact]
    public void Fit_CondensedSample_IsThatOfTheWhole()
    {
        double[] values = new double[100_000];
        new GammaSizes(0.8, 3).Fill(new RandomSource(49), values);
        var whole = TaskSizeFit.Of(new SampleSizes(values), 1);
        var condensed = TaskSizeFit.Of(SampleSizes.Condense(values), 1);
        Assert.Equal(whole.Candidates.Select(one => one.Family), condensed.Candidates.Select(one => one.Family));
        for (int i = 0; i < whole.Candidates.Length; i++)
        {
            Assert.Equal(1, condensed.Candidates[i].Sizes.Mean / whole.Candidates[i].Sizes.Mean, 1e-5);
            Assert.Equal(whole.Candidates[i].Aicc - whole.Candidates[0].Aicc, condensed.Candidates[i].Aicc - condensed.Candidates[0].Aicc, 2.0);
            Assert.Equal(whole.Candidates[i].LargestGap, condensed.Candidates[i].LargestGap, 1e-3);
        }
    }

    [Fact]
    public void Fit_OtherUnit_ChangesNothingButTheUnit()
    {
        double[] values = new double[400];
        new LognormalSizes(0, 0.9).Fill(new RandomSource(50), values);
        var seconds = TaskSizeFit.Of(new SampleSizes(values), 7);
        foreach (double unit in new[] { 1e-9, 1e-3, 3600 })
        {
            var other = TaskSizeFit.Of(new SampleSizes(values.Select(value => value * unit)), 7);
            Assert.Equal(seconds.Candidates.Select(one => one.Family), other.Candidates.Select(one => one.Family));
            Assert.Equal(seconds.Best!.LargestGap, other.Best!.LargestGap, 1e-9);
            Assert.Equal(seconds.GapChance!.Value, other.GapChance!.Value, 0.011);
            for (int i = 0; i < seconds.Candidates.Length; i++)
            {
                Assert.Equal(1, other.Candidates[i].Sizes.Mean / unit / seconds.Candidates[i].Sizes.Mean, 1e-9);
                Assert.Equal(seconds.Candidates[i].Weight, other.Candidates[i].Weight, 1e-7);
            }
        }
    }

    [Fact]
    public void Fit_SameSeed_GivesTheSame()
    {
        var sizes = new SampleSizes(s_bearings);
        Assert.Equal(TaskSizeFit.Of(sizes, 3).GapChance, TaskSizeFit.Of(sizes, 3).GapChance);
        Assert.InRange(TaskSizeFit.Of(sizes, 3).GapChance!.Value, 0.05, 1);
        Assert.Throws<OperationCanceledException>(() => TaskSizeFit.Of(sizes, 3, new CancellationToken(true)));
    }

    [Fact]
    public void Fit_EqualValues_AreConstant()
    {
        foreach (double[] values in new double[][] { [3], [3, 3, 3, 3], [0.1 + 0.2, 0.3, 0.3, 0.3, 0.3, 0.3] })
        {
            var fit = TaskSizeFit.Of(new SampleSizes(values), 1);
            Assert.Equal(TaskSizeFamily.Constant, fit.Best!.Family);
            Assert.Equal(values[^1], fit.Sizes.Mean, 1e-12);
            Assert.Equal(5, fit.LeftOut.Length);
        }
    }

    [Fact]
    public void Fit_TwoValues_AreTooFew()
    {
        var fit = TaskSizeFit.Of(new SampleSizes([1, 2]), 1);
        Assert.Empty(fit.Candidates);
        Assert.IsType<SampleSizes>(fit.Sizes);
        Assert.Equal("2 values are too few to fit a distribution, using the sample itself.", fit.Sentence);
        Assert.Equal(6, fit.LeftOut.Length);
    }

    [Fact]
    public void Fit_Zeros_LeaveOutWhatCannotGiveThem()
    {
        double[] values = new double[300];
        new ExponentialSizes(2).Fill(new RandomSource(51), values);
        values[0] = 0;
        var fit = TaskSizeFit.Of(new SampleSizes(values), 1);
        Assert.Equal(TaskSizeFamily.Exponential, fit.Best!.Family);
        Assert.Equal(
            [TaskSizeFamily.Gamma, TaskSizeFamily.Lognormal, TaskSizeFamily.BoundedPareto],
            fit.LeftOut.Where(one => one.Reason.Contains("are 0", StringComparison.Ordinal)).Select(one => one.Family));

        new GammaSizes(0.2, 1).Fill(new RandomSource(51), values);
        fit = TaskSizeFit.Of(new SampleSizes(values.Select(value => Math.Round(value, 3))), 1);
        Assert.Null(fit.Best);
        Assert.EndsWith("Some durations are 0, so gamma, lognormal and bounded Pareto were not tried.", fit.Sentence, StringComparison.Ordinal);
    }

    /// <summary>A clock that tells milliseconds, on tasks of a few milliseconds: the family is still found.</summary>
    [Fact]
    public void Fit_CoarseClock_FindsTheFamily()
    {
        double[] values = new double[5_000];
        new GammaSizes(20, 0.001).Fill(new RandomSource(52), values);
        var fit = TaskSizeFit.Of(new SampleSizes(values.Select(value => Math.Round(value, 3))), 1);
        Assert.Equal(TaskSizeFamily.Gamma, fit.Best!.Family);
        Assert.Equal(20, ((GammaSizes)fit.Sizes).Shape, 1.5);
        // Two readings of one tick apart: nothing continuous is that.
        Assert.Null(TaskSizeFit.Of(new SampleSizes([.. Enumerable.Repeat(0.005, 900), .. Enumerable.Repeat(0.006, 100)]), 1).Best);
    }

    [Theory]
    [InlineData(1e-300, 1)]
    [InlineData(1e-17, 3)]
    [InlineData(1e8, 2)]
    [InlineData(1e300, 1)]
    public void Fit_TinyOrHugeValues_GivesFiniteFigures(double unit, double sigma)
    {
        double[] values = new double[40];
        new LognormalSizes(0, sigma).Fill(new RandomSource(53), values);
        var fit = TaskSizeFit.Of(new SampleSizes(values.Select(value => value * unit)), 1);
        Assert.NotEmpty(fit.Candidates);
        Assert.All(fit.Candidates, one => Assert.True(double.IsFinite(one.Aicc) && one.LargestGap is >= 0 and <= 1 && one.Weight is >= 0 and <= 1, one.ToString()));
    }

    [Theory]
    [InlineData(new[] { 1, 1, 1, 1, 1 + 1e-7 })]
    [InlineData(new[] { 1, 1, 1, 1, 1e9 })]
    [InlineData(new[] { 1e-18, 1e9, 1e9, 1e9, 1e9 })]
    [InlineData(new[] { 0, 0, 0, 0, 5.0 })]
    [InlineData(new[] { 1, 2, 3, 4, 5.0 })]
    [InlineData(new[] { 1e-18, 1e-15, 1e-9, 1, 1e4, 3e8 })]
    public void Fit_OddValues_ComesToAVerdict(double[] values)
    {
        var fit = TaskSizeFit.Of(new SampleSizes(values), 1);
        Assert.Equal(1, fit.Candidates.Sum(one => one.Weight), 1e-9);
        Assert.DoesNotContain("NaN", fit.Sentence, StringComparison.Ordinal);
        Assert.All(fit.Candidates, one => Assert.All(fit.QuantilePoints(one), point => Assert.True(double.IsFinite(point.Fitted) && point.Fitted >= 0)));
    }

    [Fact]
    public void QuantilePoints_OfAGoodFit_LieOnTheDiagonal()
    {
        double[] values = new double[50_000];
        new GammaSizes(2, 1).Fill(new RandomSource(54), values);
        var fit = TaskSizeFit.Of(SampleSizes.Condense(values), 1);
        var points = fit.QuantilePoints(fit.Best!);
        Assert.InRange(points.Length, 150, 200);
        Assert.Equal((values.Min(), values.Max()), (points[0].Sample, points[^1].Sample));
        Assert.Equal((0.5 / values.Length, 1 - 0.5 / values.Length), (points[0].Share, points[^1].Share));
        Assert.All(points.Where(point => point.Share is > 0.02 and < 0.98), point => Assert.Equal(1, point.Sample / point.Fitted, 0.05));
        Assert.True(points.Zip(points.Skip(1)).All(pair => pair.First.Sample <= pair.Second.Sample && pair.First.Fitted <= pair.Second.Fitted));
        Assert.Equal(5, TaskSizeFit.Of(new SampleSizes([5, 3, 1, 2, 9]), 1) is var few ? few.QuantilePoints(few.Candidates[0]).Length : 0);
    }

    private static FittedTaskSizes Candidate(SampleSizes sizes, TaskSizeFamily family) =>
        Assert.Single(TaskSizeFit.Of(sizes, 1).Candidates, one => one.Family == family);
}
