using System.Diagnostics;
using System.Globalization;
using Capacityplan.Core;
using Capacityplan.Core.Graphs;
using Capacityplan.Core.Reading;

namespace Capacityplan.Benchmarks;

/// <summary>
/// How near the best schedules come to known optima of the Standard Task Graph Set (T. Tobita and H. Kasahara, Journal of
/// Scheduling 5(5), 2002), and how long a large graph takes to read and follow.
/// </summary>
internal static class GraphBenchmark
{
    private const int LargeTasks = 1_000_000;
    private const int LargeParents = 5;

    public static int Schedules(string folder)
    {
        var clock = Stopwatch.StartNew();
        var ratios = new List<(double Best, double Plain, string What)>();
        int pairs = 0, proved = 0, below = 0, open = 0, openInside = 0;
        var optima = Rows(folder, "stg-reference.csv").ToDictionary(row => (row[0], row[1], row[5]), row => double.Parse(row[6], CultureInfo.InvariantCulture));
        var intervals = Rows(folder, "stg-open.csv").ToDictionary(
            row => (row[0], row[1], row[5]),
            row => (Low: double.Parse(row[8], CultureInfo.InvariantCulture), High: double.Parse(row[9], CultureInfo.InvariantCulture)));
        double slowest = 0;
        foreach (string set in new[] { "50", "100" })
        {
            foreach (string file in Directory.GetFiles(Path.Combine(folder, set), "*.stg").Order(StringComparer.Ordinal))
            {
                TaskGraph graph = TaskGraphReader.Read(File.ReadAllText(file)).Graph ?? throw new InvalidDataException(file);
                foreach (int cores in new[] { 2, 4, 8, 16 })
                {
                    double before = clock.Elapsed.TotalSeconds;
                    GraphOutlook outlook = GraphScheduling.Outlook(graph, cores);
                    slowest = Math.Max(slowest, clock.Elapsed.TotalSeconds - before);
                    pairs++;
                    proved += outlook.IsOptimal ? 1 : 0;
                    double made = outlook.Schedule.MakespanSeconds;
                    (string, string, string) key = (set, Path.GetFileNameWithoutExtension(file), cores.ToString(CultureInfo.InvariantCulture));
                    string what = string.Create(CultureInfo.InvariantCulture, $"{key} made {made} floor {outlook.FloorSeconds}");
                    if (optima.TryGetValue(key, out double optimum))
                    {
                        ratios.Add((made / optimum, outlook.LongestRemainingFirstSeconds / optimum, what + $" optimum {optimum}"));
                        below += made < optimum || outlook.FloorSeconds > optimum ? 1 : 0;
                    }
                    else if (intervals.TryGetValue(key, out (double Low, double High) interval))
                    {
                        open++;
                        openInside += made >= interval.Low && made <= interval.High && outlook.FloorSeconds <= interval.High ? 1 : 0;
                        Console.WriteLine($"open in the set: {what}, known {interval.Low} to {interval.High}");
                    }
                }
            }
        }

        foreach ((_, _, string what) in ratios.Where(ratio => ratio.Best > 1))
            Console.WriteLine("above the optimum: " + what);
        Console.WriteLine(string.Create(
            CultureInfo.InvariantCulture,
            $"""
            {pairs} graphs and core counts, {ratios.Count} with a known optimum
            makespan over optimum: mean {ratios.Average(ratio => ratio.Best):0.00000}, worst {ratios.Max(ratio => ratio.Best):0.0000}, met {ratios.Count(ratio => ratio.Best == 1)}; longest remaining first alone: mean {ratios.Average(ratio => ratio.Plain):0.00000}, worst {ratios.Max(ratio => ratio.Plain):0.0000}
            below an optimum, or a floor above one: {below}
            proved optimal: {proved}; open in the set: {open}, within the known interval {openInside}
            {clock.Elapsed.TotalSeconds:0.0} s in all, the slowest {slowest:0.00} s
            """));
        return below == 0 && ratios.Average(ratio => ratio.Best) <= 1.002 ? 0 : 1;
    }

    public static async Task<int> LargeAsync(string format)
    {
        string path = Path.GetTempFileName();
        try
        {
            using (var writer = new StreamWriter(path))
                Write(writer, format);
            Process process = Process.GetCurrentProcess();
            if (OperatingSystem.IsLinux() || OperatingSystem.IsWindows())
                process.ProcessorAffinity = 1;
            var clock = Stopwatch.StartNew();
            TimeSpan before = Environment.CpuUsage.TotalTime;
            TaskGraphReading reading;
            using (var reader = new StreamReader(path))
                reading = await TaskGraphReader.ReadAsync(reader);
            TaskGraph graph = reading.Graph ?? throw new InvalidDataException(reading.Problems[0].Message);
            double read = clock.Elapsed.TotalSeconds;
            int onPath = graph.CriticalPath().Length;
            double followed = clock.Elapsed.TotalSeconds;
            double processor = (Environment.CpuUsage.TotalTime - before).TotalSeconds;
            process.Refresh();
            Console.WriteLine(string.Create(
                CultureInfo.InvariantCulture,
                $"{format}, {new FileInfo(path).Length / 1e6:0} MB, {graph.Count} tasks, {graph.Edges} edges: read with work {graph.WorkSeconds:0} s and span {graph.SpanSeconds:0.0} s in {read:0.00} s, critical path of {onPath} by {followed:0.00} s; {processor:0.00} s of processor, peak {process.PeakWorkingSet64 / 1e6:0} MB"));
            int width = WidthProfile.Of(graph).MaxWidth;
            Lap($"width profile (max {width})");
            int gains = ShorteningGains.OnSpan(graph).Length;
            Lap($"gains on the span ({gains})");
            double list = GraphScheduling.LongestRemainingFirst(graph, 64).MakespanSeconds;
            Lap($"longest remaining first on 64 cores ({list:0.0} s, floor {graph.WorkSeconds / 64:0.0} s)");
            bool isOptimal = GraphScheduling.Outlook(graph, 64, new SchedulingEffort { Placements = 0 }).IsOptimal;
            Lap($"outlook on 64 cores without bettering (optimal: {isOptimal})");
            GraphSimulation.Run(
                graph, new Core.Jobs.SchedulingCosts(), [new Core.Stealing.WorkerPool(64)], new Core.Stealing.SimulationSettings { Replicates = 1 });
            Lap("one simulated run on 64 cores");
            return processor < 3 && process.PeakWorkingSet64 < 1e9 ? 0 : 1;

            void Lap(string what)
            {
                Console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"  {what}: {clock.Elapsed.TotalSeconds - followed:0.00} s"));
                followed = clock.Elapsed.TotalSeconds;
            }
        }
        finally
        {
            File.Delete(path);
        }
    }

    private static void Write(StreamWriter writer, string format)
    {
        var random = new RandomSource(1);
        string parted = format == "plain" ? " " : format == "csv" ? ";" : "\",\"";
        var run = new List<double>();
        writer.Write(format switch
        {
            "plain" => string.Create(CultureInfo.InvariantCulture, $"{LargeTasks}\n0 0 0\n"),
            "csv" => "id,seconds,parents\n",
            _ => "{\"schemaVersion\":\"1.5\",\"workflow\":{\"specification\":{\"tasks\":[\n",
        });
        for (int task = 1; task <= LargeTasks; task++)
        {
            var parents = new HashSet<int>();
            // Mostly near, as jobs are, some from anywhere before.
            for (int i = 0; i < LargeParents && task > 1; i++)
                parents.Add(i == 0 ? 1 + random.NextIndex(task - 1) : Math.Max(1, task - 1 - random.NextIndex(20_000)));
            double seconds = Math.Round(random.NextExponential(), 6);
            run.Add(seconds);
            string list = string.Join(parted, parents);
            writer.Write(format switch
            {
                "plain" => string.Create(CultureInfo.InvariantCulture, $"{task} {seconds} {parents.Count} {list}\n"),
                "csv" => string.Create(CultureInfo.InvariantCulture, $"{task},{seconds},{list}\n"),
                _ => string.Create(CultureInfo.InvariantCulture, $"{(task > 1 ? "," : "")}{{\"id\":\"{task}\",\"parents\":[{(list.Length > 0 ? $"\"{list}\"" : "")}]}}\n"),
            });
        }

        if (format == "plain")
            writer.Write(string.Create(CultureInfo.InvariantCulture, $"{LargeTasks + 1} 0 1 {LargeTasks}\n"));
        if (format != "json")
            return;
        writer.Write("]},\"execution\":{\"tasks\":[\n");
        for (int task = 1; task <= LargeTasks; task++)
            writer.Write(string.Create(CultureInfo.InvariantCulture, $"{(task > 1 ? "," : "")}{{\"id\":\"{task}\",\"runtimeInSeconds\":{run[task - 1]}}}\n"));
        writer.Write("]}}}");
    }

    private static IEnumerable<string[]> Rows(string folder, string name) =>
        File.ReadLines(Path.Combine(folder, name)).Skip(1).Select(line => line.Split(','));
}
