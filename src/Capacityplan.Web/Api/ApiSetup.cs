using System.Text.Encodings.Web;
using System.Text.Json;
using System.Text.Json.Serialization;
using System.Text.Unicode;
using Capacityplan.Core;

namespace Capacityplan.Web.Api;

/// <summary>What the HTTP API needs of the program.</summary>
public static class ApiSetup
{
    /// <summary>Registers how the API's JSON is written, and the document that describes it.</summary>
    public static IServiceCollection AddApi(this IServiceCollection services)
    {
        services.ConfigureHttpJsonOptions(options =>
        {
            JsonSerializerOptions json = options.SerializerOptions;
            json.NumberHandling = JsonNumberHandling.Strict;
            // A currency sign is written as it is; what could end a script or an attribute stays escaped.
            json.Encoder = JavaScriptEncoder.Create(UnicodeRanges.All);
            json.Converters.Add(new JsonStringEnumConverter<ProblemSeverity>(JsonNamingPolicy.CamelCase));
        });
        services.AddOpenApi(ApiDocument.Describe);
        return services;
    }
}
