using System.Globalization;
using Capacityplan.Core.Fitting;
using MathNet.Numerics.Statistics;

namespace Capacityplan.Benchmarks;

/// <summary>
/// Replays measured programs: fits on few core counts, forecasts larger ones, and prints the error of the median forecast
/// against the median over sittings, and how many single runs the 80 % band holds.
/// </summary>
internal static class Accuracy
{
    private static readonly (int[] Trained, int[] Forecast)[] s_cells =
    [
        ([1, 2], [4, 8, 16]),
        ([1, 2, 4], [6, 8, 12, 16]),
        ([1, 2, 4, 8], [12, 16]),
    ];

    public static int Run(string path)
    {
        Row[] rows = [.. File.ReadLines(path).Skip(1).Select(Row.Parse)];
        Console.WriteLine("trained on  sitting  median error %  90th percentile %  of runs in the 80 % band");
        foreach (bool one in (bool[])[true, false])
        {
            int inside = 0, counted = 0;
            foreach ((int[] trained, int[] forecast) in s_cells)
            {
                var errors = new List<double>();
                int cellInside = 0, cellCounted = 0;
                foreach (IGrouping<string, Row> program in rows.GroupBy(row => row.Program))
                {
                    foreach (int sitting in one ? (int[])[1, 2, 3, 4] : [0])
                    {
                        Timing[] used = [.. program
                            .Where(row => trained.Contains(row.Cores) && (sitting == 0 || row.Sitting == sitting))
                            .Select(row => new Timing(row.Cores, row.Seconds, row.Sitting))];
                        MeasuredScaling scaling = MeasuredScaling.Fit(used, cores => cores, seed: 1);
                        foreach (int cores in forecast)
                        {
                            Row[] later = [.. program.Where(row => row.Cores == cores)];
                            double truth = later.GroupBy(row => row.Sitting).Select(group => group.Select(row => row.Seconds).Median()).Median();
                            Band band = scaling.At(cores).Band(0.8);
                            errors.Add(Math.Abs(band.Median / truth - 1) * 100);
                            cellInside += later.Count(row => row.Seconds >= band.Low && row.Seconds <= band.High);
                            cellCounted += later.Length;
                        }
                    }
                }

                Console.WriteLine(string.Create(CultureInfo.InvariantCulture,
                    $"{string.Join(',', trained),-10}  {(one ? "one" : "all"),-7}  {errors.Median(),14:0.0}  {errors.Quantile(0.9),17:0.0}  {100.0 * cellInside / cellCounted,10:0}"));
                inside += cellInside;
                counted += cellCounted;
            }

            Console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"pooled      {(one ? "one" : "all"),-7}  {"",14}  {"",17}  {100.0 * inside / counted,10:0}"));
        }

        return 0;
    }

    private sealed record Row(string Program, int Cores, int Sitting, double Seconds)
    {
        public static Row Parse(string line)
        {
            string[] cells = line.Split(',');
            return new Row(
                cells[0], int.Parse(cells[1], CultureInfo.InvariantCulture), int.Parse(cells[2], CultureInfo.InvariantCulture),
                double.Parse(cells[4], CultureInfo.InvariantCulture));
        }
    }
}
