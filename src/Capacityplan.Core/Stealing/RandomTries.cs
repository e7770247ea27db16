namespace Capacityplan.Core.Stealing;

/// <summary>Drives a run with the tries of its thieves.</summary>
/// <remarks>
/// Every thief tries at the points of a Poisson process of rate 1/a on a uniformly drawn victim among the other p - 1, so
/// those tries that meet a candidate come at rate thieves x candidates/(a (p - 1)), each pair equally likely. That rate is
/// constant between the machine's own events: one exponential number is used up at it until a try comes due. All other
/// tries fail without a trace and are counted by the integral of their rate, which is their mean given the run.
/// </remarks>
internal static class RandomTries
{
    // Events between two looks at the cancellation token.
    private const int EventsBetweenLooks = 1 << 14;

    public static PhaseRun Run<TSums>(
        PhaseCosts costs, TSums sums, RandomSource random, RunRecorder? record = null, CancellationToken cancellation = default)
        where TSums : struct, IRangeSums
    {
        var machine = new StealMachine<TSums>(costs, sums, random, record);
        int others = costs.Workers - 1;
        double pairRate = others > 0 ? 1 / (costs.AttemptSeconds * others) : 0;
        double now = 0, idle = 0, hopelessTries = 0;
        long rejected = 0;
        int looks = 0;
        double untilTry = random.NextExponential();
        while (!machine.Done)
        {
            if (++looks == EventsBetweenLooks)
            {
                cancellation.ThrowIfCancellationRequested();
                looks = 0;
            }

            int thieves = machine.Thieves;
            int candidates = machine.Candidates;
            double next = Math.Max(now, machine.NextEvent);
            bool tries = false;
            if (thieves > 0 && candidates > 0)
            {
                double rate = (double)thieves * candidates * pairRate;
                double due = now + untilTry / rate;
                if (due < next)
                {
                    next = due;
                    tries = true;
                }
                else
                {
                    untilTry = Math.Max(0, untilTry - rate * (next - now));
                }
            }

            double passed = next - now;
            idle += passed * (thieves + machine.Asleep);
            hopelessTries += passed * thieves * (others - candidates);
            now = next;
            if (!tries)
            {
                machine.Step(now);
                continue;
            }

            untilTry = random.NextExponential();
            int thief = machine.Thief(random.NextIndex(thieves));
            if (machine.TrySteal(now, thief, machine.Candidate(random.NextIndex(candidates))) == 0)
                rejected++;
        }

        return new PhaseRun
        {
            MakespanSeconds = now / costs.Speed,
            UsefulSeconds = machine.TotalSeconds / costs.Speed,
            OverheadSeconds = costs.OverheadSeconds / costs.Speed,
            StealingSeconds = machine.StealingSeconds / costs.Speed,
            IdleSeconds = idle / costs.Speed,
            Steals = machine.Steals,
            FailedTries = rejected + hopelessTries * pairRate,
            StolenUnits = machine.StolenUnits,
            Pops = costs.Tree.Forks - machine.Steals,
            PoppedUnits = costs.Tree.PushedUnits - machine.StolenUnits,
        };
    }
}
