using System.Globalization;
using Capacityplan.Core.Fitting;
using MathNet.Numerics.Statistics;

namespace Capacityplan.Benchmarks;

/// <summary>
/// Replays measured programs: fits on few core counts, forecasts larger ones, and prints the error of the median forecast
/// against the median over sittings beside that of single laws fitted to the same rows, how many single runs the 80 % band
/// holds, and whether each bar is met: a median error of at most 1.1 and a 90th percentile of at most 0.9 times Amdahl's,
/// a band that holds from 60 to 97 % in each cell and from 73 to 88 % over a regime.
/// </summary>
internal static class Accuracy
{
    private const double MostOfMedian = 1.1;
    private const double MostOfTail = 0.9;
    private static readonly (int[] Trained, int[] Forecast)[] s_cells =
    [
        ([1, 2], [4, 8, 16]),
        ([1, 2, 4], [6, 8, 12, 16]),
        ([1, 2, 4, 8], [12, 16]),
    ];

    public static int Run(string path)
    {
        Row[] rows = [.. File.ReadLines(path).Skip(1).Select(Row.Parse)];
        string[] programs = [.. rows.Select(row => row.Program).Distinct()];
        Console.WriteLine("Error of the forecast, %: median / 90th percentile. Amdahl is fitted to every row (rows) and to one median a core count (medians).");
        Console.WriteLine("trained on  sittings  forecast     Amdahl, rows  Amdahl, medians  universal law  work/span    in the band  bar (rows, medians)  kept without any one program");
        int met = 0, metMedians = 0;
        foreach (bool one in (bool[])[true, false])
        {
            var pooled = new List<Replay>();
            foreach ((int[] trained, int[] forecast) in s_cells)
            {
                Replay[] cell = [.. programs.SelectMany(program => Replays(rows, program, trained, forecast, one))];
                pooled.AddRange(cell);
                bool bar = Met(cell, replay => replay.AmdahlRows), barMedians = Met(cell, replay => replay.AmdahlMedians);
                met += bar ? 1 : 0;
                metMedians += barMedians ? 1 : 0;
                int kept = programs.Count(left => Met([.. cell.Where(replay => replay.Program != left)], replay => replay.AmdahlMedians));
                double inside = Inside(cell);
                Console.WriteLine(string.Create(CultureInfo.InvariantCulture,
                    $"{string.Join(',', trained),-10}  {(one ? "one" : "all"),-8}  {Figures(cell, replay => replay.Own),-11}  {Figures(cell, replay => replay.AmdahlRows),-12}  {Figures(cell, replay => replay.AmdahlMedians),-15}  {(trained.Length < 3 ? "undetermined" : Figures(cell, replay => replay.Universal)),-13}  {Figures(cell, replay => replay.WorkSpan),-11}  {100 * inside,3:0} % {(inside is >= 0.60 and <= 0.97 ? "met" : "not met"),-7}  {Word(bar)}, {Word(barMedians),-15}  {kept} of {programs.Length}"));
            }

            double share = Inside(pooled);
            Console.WriteLine(string.Create(CultureInfo.InvariantCulture,
                $"pooled      {(one ? "one" : "all"),-8}  {"",-73}  {100 * share,3:0} % {Word(share is >= 0.73 and <= 0.88)}"));
        }

        Console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"Cells that meet the bar: {met} of 6 against Amdahl on rows, {metMedians} of 6 against Amdahl on medians."));
        return 0;
    }

    private static IEnumerable<Replay> Replays(Row[] rows, string program, int[] trained, int[] forecast, bool one)
    {
        Row[] own = [.. rows.Where(row => row.Program == program)];
        foreach (int sitting in one ? (int[])[1, 2, 3, 4] : [0])
        {
            Row[] used = [.. own.Where(row => trained.Contains(row.Cores) && (sitting == 0 || row.Sitting == sitting))];
            MeasuredScaling scaling = MeasuredScaling.Fit([.. used.Select(row => new Timing(row.Cores, row.Seconds, row.Sitting))], cores => cores, seed: 1);
            (double, double)[] every = [.. used.Select(row => ((double)row.Cores, row.Seconds))];
            (double, double)[] medians = [.. used.GroupBy(row => row.Cores).Select(group => ((double)group.Key, OverSittings(group)))];
            Func<double, double> amdahlRows = RivalLaw.Amdahl.Fit(every), amdahlMedians = RivalLaw.Amdahl.Fit(medians);
            Func<double, double> universal = RivalLaw.Universal.Fit(medians), workSpan = RivalLaw.WorkSpan.Fit(medians);
            foreach (int cores in forecast)
            {
                Row[] later = [.. own.Where(row => row.Cores == cores)];
                double truth = OverSittings(later);
                double Error(double seconds) => Math.Abs(seconds / truth - 1) * 100;
                Band band = scaling.At(cores).Band(0.8);
                yield return new Replay(
                    program, Error(band.Median), Error(amdahlRows(cores)), Error(amdahlMedians(cores)), Error(universal(cores)), Error(workSpan(cores)),
                    later.Count(row => row.Seconds >= band.Low && row.Seconds <= band.High), later.Length);
            }
        }
    }

    private static double OverSittings(IEnumerable<Row> rows) =>
        rows.GroupBy(row => row.Sitting).Select(group => group.Select(row => row.Seconds).Median()).Median();

    private static bool Met(Replay[] cell, Func<Replay, double> rival) =>
        cell.Select(replay => replay.Own).Median() <= MostOfMedian * cell.Select(rival).Median()
        && cell.Select(replay => replay.Own).Quantile(0.9) <= MostOfTail * cell.Select(rival).Quantile(0.9);

    private static double Inside(IEnumerable<Replay> replays) => (double)replays.Sum(replay => replay.Inside) / replays.Sum(replay => replay.Counted);

    private static string Word(bool met) => met ? "met" : "not met";

    private static string Figures(Replay[] cell, Func<Replay, double> error) =>
        string.Create(CultureInfo.InvariantCulture, $"{cell.Select(error).Median():0.0} / {cell.Select(error).Quantile(0.9):0.0}");

    /// <summary>One forecast: errors in %, and the later runs inside the band.</summary>
    private sealed record Replay(
        string Program, double Own, double AmdahlRows, double AmdahlMedians, double Universal, double WorkSpan, int Inside, int Counted);

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
