using Capacityplan.Core.Graphs;
using Capacityplan.Core.Jobs;
using Capacityplan.Core.Stealing;

namespace Capacityplan.Core.Tests.Graphs;

/// <summary>
/// A graph on a pool told plainly: every try of every thief is an event in a priority queue. Shares no code and no random
/// numbers with the simulation that is held against it.
/// </summary>
internal static class TryByTryGraph
{
    private enum What
    {
        Wakes,
        Ends,
        Tries,
    }

    public static (double Makespan, double Steals, double Failed) Run(TaskGraph graph, SchedulingCosts costs, WorkerPool pool, Random random)
    {
        var events = new PriorityQueue<(What What, int Worker, int Task), double>();
        List<int>[] deques = [.. Enumerable.Range(0, pool.Workers).Select(_ => new List<int>())];
        int[] waiting = [.. Enumerable.Range(0, graph.Count).Select(task => graph.Parents(task).Length)];
        int[] ready = [.. Enumerable.Range(0, graph.Count).Where(task => waiting[task] == 0)];
        for (int i = 0; i < ready.Length; i++)
            deques[i % pool.Workers].Add(ready[i]);
        double now = 0;
        int left = graph.Count, steals = 0, failed = 0;
        for (int worker = 1; worker < pool.Workers; worker++)
            events.Enqueue((What.Wakes, worker, 0), Exponential(costs.WakeSeconds));
        Continue(0);
        while (left > 0)
        {
            events.TryDequeue(out (What What, int Worker, int Task) next, out now);
            switch (next.What)
            {
                case What.Wakes:
                    Continue(next.Worker);
                    break;
                case What.Ends:
                    left--;
                    foreach (int child in graph.Children(next.Task))
                    {
                        if (--waiting[child] == 0)
                            deques[next.Worker].Add(child);
                    }

                    Continue(next.Worker);
                    break;
                default:
                    int victim = random.Next(pool.Workers - 1);
                    victim += victim >= next.Worker ? 1 : 0;
                    if (deques[victim].Count == 0)
                    {
                        failed++;
                        events.Enqueue(next, now + Exponential(costs.StealAttemptSeconds));
                        break;
                    }

                    steals++;
                    int task = deques[victim][0];
                    deques[victim].RemoveAt(0);
                    Start(next.Worker, task, costs.StealSeconds);
                    break;
            }
        }

        return (now, steals, failed);

        void Continue(int worker)
        {
            if (deques[worker].Count == 0)
            {
                events.Enqueue((What.Tries, worker, 0), now + Exponential(costs.StealAttemptSeconds));
                return;
            }

            int task = deques[worker][^1];
            deques[worker].RemoveAt(deques[worker].Count - 1);
            Start(worker, task, 0);
        }

        void Start(int worker, int task, double after) => events.Enqueue(
            (What.Ends, worker, task), now + after + (costs.ForkSeconds + costs.JoinSeconds + graph.Seconds[task]) / pool.WorkerSpeed);

        double Exponential(double mean) => -mean * Math.Log(1 - random.NextDouble());
    }
}
