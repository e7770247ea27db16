using System.Globalization;
using Capacityplan.Core.Fitting;

namespace Capacityplan.Benchmarks;

/// <summary>
/// Forecasts the larger half of published tables of rates (columns processors,value) from their smaller half, beside Amdahl's
/// and the universal law.
/// </summary>
internal static class PublishedTables
{
    public static int Run(IEnumerable<string> paths)
    {
        Console.WriteLine("table            cores  published  forecast (80 % band)              error %   Amdahl %  universal %");
        foreach (string path in paths)
        {
            (int Cores, double Rate)[] rows = [.. File.ReadLines(path).Skip(1).Select(line => line.Split(',')).Select(cells => (
                int.Parse(cells[0], CultureInfo.InvariantCulture), double.Parse(cells[1], CultureInfo.InvariantCulture))).OrderBy(row => row.Item1)];
            int half = rows.Length / 2;
            MeasuredScaling scaling = MeasuredScaling.Fit([.. rows.Take(half).Select(row => new Timing(row.Cores, 1 / row.Rate))], cores => cores, seed: 1);
            (double, double)[] points = [.. rows.Take(half).Select(row => ((double)row.Cores, 1 / row.Rate))];
            Func<double, double> amdahl = RivalLaw.Amdahl.Fit(points), universal = RivalLaw.Universal.Fit(points);
            foreach ((int cores, double rate) in rows.Skip(half))
            {
                Band band = scaling.At(cores).Band(0.8);
                double Error(double seconds) => (1 / seconds / rate - 1) * 100;
                Console.WriteLine(string.Create(CultureInfo.InvariantCulture,
                    $"{Path.GetFileNameWithoutExtension(path),-15}  {cores,5}  {rate,9:0.0}  {1 / band.Median,8:0.0} ({1 / band.High:0.0} to {1 / band.Low:0.0})  {Error(band.Median),14:0.0}  {Error(amdahl(cores)),9:0.0}  {Error(universal(cores)),11:0.0}"));
            }
        }

        return 0;
    }
}
