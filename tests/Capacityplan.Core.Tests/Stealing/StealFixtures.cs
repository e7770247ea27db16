using System.Text.Json;
using Capacityplan.Core.Jobs;

namespace Capacityplan.Core.Tests.Stealing;

/// <summary>A run of reference/stealing/fixtures.json: settings, every try, and the exact outcome.</summary>
internal sealed record StealFixture(
    ParallelPhase Phase, int Workers, double[] Units, IReadOnlyList<(Try Try, long Taken)> Tries,
    double Makespan, long Steals, long Failed, double Idle, double Useful, double Overhead, double Stealing)
{
    public static IReadOnlyList<StealFixture> All()
    {
        using JsonDocument file = JsonDocument.Parse(
            File.ReadAllText(Path.Combine(AppContext.BaseDirectory, "reference", "stealing", "fixtures.json")));
        return [.. file.RootElement.EnumerateArray().Select(Read)];
    }

    private static StealFixture Read(JsonElement run)
    {
        double Number(string name) => run.GetProperty(name).GetDouble();
        double[] units = [.. run.GetProperty("units").EnumerateArray().Select(unit => unit.GetDouble())];
        var costs = new SchedulingCosts
        {
            ForkSeconds = Number("o_fork"),
            JoinSeconds = Number("o_join"),
            CombineSecondsPerUnit = Number("c_combine"),
            StealSeconds = Number("o_steal"),
        };
        var phase = new ParallelPhase("fixture", units.Length, new SampleSizes(units), (long)Number("grain"), costs);
        return new StealFixture(
            phase, (int)Number("p"), units,
            [.. run.GetProperty("attempts_t_thief_victim_takensize").EnumerateArray().Select(one => (
                new Try(one[0].GetDouble(), one[1].GetInt32(), one[2].GetInt32()), one[3].GetInt64()))],
            Number("makespan"), (long)Number("steals"), (long)Number("failed"), Number("idle"), Number("useful"), Number("overhead"),
            Number("steal_overhead"));
    }
}
