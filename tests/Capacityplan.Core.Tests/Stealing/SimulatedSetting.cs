using System.Globalization;
using Capacityplan.Core.Jobs;

namespace Capacityplan.Core.Tests.Stealing;

/// <summary>A row of reference/stealing/reference.csv as a job known by work, span and tasks.</summary>
/// <param name="Job">Its useful work and combines as the work, the mean over drawn units of its longest chain as the span.</param>
/// <param name="Cores">Its workers.</param>
internal sealed record SimulatedSetting(WorkAndSpan Job, int Cores)
{
    // Enough for a mean span good to a few per cent of itself where a heavy tail decides it, to far less elsewhere.
    private const int UnitsDrawn = 500_000;

    public static SimulatedSetting Of(ReferenceTable row)
    {
        var costs = new SchedulingCosts
        {
            ForkSeconds = row.Number("o_fork"),
            JoinSeconds = row.Number("o_join"),
            StealAttemptSeconds = row.Number("a"),
            StealSeconds = row.Number("o_steal"),
        };
        int units = (int)row.Number("N");
        int grain = (int)row.Number("grain");
        var random = new Random(20_260_101);
        Func<double> duration = Duration(row, random);
        double[] drawn = new double[units];
        double spans = 0;
        int replicates = Math.Max(1, UnitsDrawn / units);
        for (int replicate = 0; replicate < replicates; replicate++)
        {
            for (int i = 0; i < units; i++)
                drawn[i] = duration();
            spans += Span(drawn, grain, costs.ForkSeconds + costs.JoinSeconds, row.Number("c_combine"));
        }

        long leaves = Leaves(units, grain);
        double work = row.Number("mean_T1") - (leaves - 1) * (costs.ForkSeconds + costs.JoinSeconds);
        return new SimulatedSetting(new WorkAndSpan(work, spans / replicates, leaves, costs), (int)row.Number("p"));
    }

    private static long Leaves(int units, int grain) =>
        units <= grain ? 1 : Leaves(units / 2, grain) + Leaves(units - units / 2, grain);

    private static double Span(ReadOnlySpan<double> durations, int grain, double forkJoinSeconds, double combineSecondsPerUnit)
    {
        if (durations.Length <= grain)
        {
            double leaf = 0;
            foreach (double duration in durations)
                leaf += duration;
            return leaf;
        }

        int middle = durations.Length / 2;
        double left = Span(durations[..middle], grain, forkJoinSeconds, combineSecondsPerUnit);
        double right = Span(durations[middle..], grain, forkJoinSeconds, combineSecondsPerUnit);
        return Math.Max(left, right) + forkJoinSeconds + combineSecondsPerUnit * durations.Length;
    }

    private static Func<double> Duration(ReferenceTable row, Random random)
    {
        Dictionary<string, double> parameters = row.Text("params").Split(';').Select(one => one.Split('='))
            .ToDictionary(one => one[0], one => double.Parse(one[1], CultureInfo.InvariantCulture));
        double Uniform() => 1 - random.NextDouble();
        double Normal() => Math.Sqrt(-2 * Math.Log(Uniform())) * Math.Cos(2 * Math.PI * Uniform());
        switch (row.Text("distribution"))
        {
            case "constant":
                return () => parameters["value"];
            case "uniform":
                return () => parameters["lo"] + (parameters["hi"] - parameters["lo"]) * Uniform();
            case "exponential":
                return () => -parameters["mean"] * Math.Log(Uniform());
            case "lognormal":
                return () => Math.Exp(parameters["mu"] + parameters["sigma"] * Normal());
            case "gamma" when parameters["shape"] == 0.5:
                // A squared normal is gamma with shape 1/2 and scale 2.
                return () => parameters["scale"] / 2 * Math.Pow(Normal(), 2);
            case "bounded_pareto":
                (double low, double high, double alpha) = (parameters["L"], parameters["H"], parameters["alpha"]);
                double tail = 1 - Math.Pow(low / high, alpha);
                return () => low * Math.Pow(1 - (1 - Uniform()) * tail, -1 / alpha);
            default:
                throw new InvalidOperationException($"No way to draw units for '{row}'.");
        }
    }
}
